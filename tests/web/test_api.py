"""The API: described, typed, one shape for every refusal."""

from __future__ import annotations

import httpx
import jsonschema
import pytest
from fastapi import FastAPI
from tests.booklet.plan_fixture import PLAN

from snugbay.document import example


def test_the_description_is_whole(client: httpx.Client) -> None:
    described = client.get("/api/openapi.json").json()
    assert described["openapi"].startswith("3.")
    for path, methods in described["paths"].items():
        assert path.startswith("/api/")
        for method, call in methods.items():
            assert call["description"], (path, method)
            good = [c for s, c in call["responses"].items() if s.startswith("2")]
            assert good, (path, method)
            if method != "delete" or "work" in path:
                schema = good[0]["content"]["application/json"]["schema"]
                assert schema, (path, method)
            assert "422" in call["responses"]


def test_the_schema_of_a_job_accepts_the_examples(client: httpx.Client) -> None:
    schema = client.get("/api/schema/job").json()
    jsonschema.Draft202012Validator.check_schema(schema)


def test_a_document_is_kept_changed_merged_and_undone(client: httpx.Client) -> None:
    text = example("mill-cellar")
    made = client.post("/api/jobs", json={"document": text})
    assert made.status_code == 201
    job = made.json()["id"]
    first = client.get(f"/api/jobs/{job}/document").json()
    assert first == {"version": 1, "text": text, "faults": []}
    one = client.put(f"/api/jobs/{job}/document", json={"version": 1, "text": text.replace("days = 4", "days = 6")})
    assert one.json() == {"version": 2, "merged": False, "conflicts": []}
    two = client.put(f"/api/jobs/{job}/document", json={"version": 1, "text": text.replace("hands = 2", "hands = 1")})
    assert two.json() == {"version": 3, "merged": True, "conflicts": []}
    clash = client.put(f"/api/jobs/{job}/document", json={"version": 1, "text": text.replace("days = 4", "days = 7")})
    assert clash.status_code == 409
    assert clash.json()["conflicts"] == [{"where": ["you", "days"], "mine": "7", "theirs": "6"}]
    edit = {"edits": [{"at": "/you/days", "was": "6", "now": "8"}]}
    assert client.patch(f"/api/jobs/{job}/fields", json=edit).status_code == 200
    assert client.patch(f"/api/jobs/{job}/fields", json=edit).status_code == 200  # it stands already
    other = {"edits": [{"at": "/you/days", "was": "6", "now": "9"}]}
    assert client.patch(f"/api/jobs/{job}/fields", json=other).status_code == 409
    assert client.post(f"/api/jobs/{job}/undo", json={"version": 1}).status_code == 409
    assert client.post(f"/api/jobs/{job}/undo", json={"version": 4}).json()["version"] == 5
    assert client.post(f"/api/jobs/{job}/redo", json={"version": 5}).json()["version"] == 6
    kinds = [v["kind"] for v in client.get(f"/api/jobs/{job}/history").json()]
    assert kinds == ["redo", "undo", "edit", "merge", "edit", "new"]
    assert client.delete(f"/api/jobs/{job}").status_code == 204


def test_the_survey_answers_as_the_command_line_does(client: httpx.Client) -> None:
    job = client.post("/api/jobs", json={"document": example("ferry-cottage")}).json()["id"]
    found = client.get(f"/api/jobs/{job}/survey").json()
    assert {"faces", "suspects", "unchecked", "joins"} <= found.keys()
    assert len(found["faces"]) == 14


def test_a_plan_can_be_read(client: httpx.Client, app: FastAPI) -> None:
    job = client.post("/api/jobs", json={"document": example("ferry-cottage"), "title": "api plan"}).json()["id"]
    assert client.get(f"/api/jobs/{job}/plan").status_code == 404
    app.state.desk.store.work.keep_plan(job, 1, PLAN)
    plan = client.get(f"/api/jobs/{job}/plan").json()
    assert plan["digest"] == PLAN.digest
    names = [f["name"] for f in client.get(f"/api/jobs/{job}/files").json()]
    assert "booklet.pdf" in names
    ticked = client.put(f"/api/jobs/{job}/ticks", json={"kind": "piece", "key": "N1-1"}).json()
    assert ticked["pieces"] == ["N1-1"]
    assert client.get("/api/jobs").json()[0]["plan"] >= 0


@pytest.mark.parametrize(
    ("method", "path", "body", "status"),
    [
        ("GET", "/api/jobs/nobody", None, 404),
        ("GET", "/api/jobs/nobody/document", None, 404),
        ("GET", "/api/jobs/nobody/work", None, 404),
        ("GET", "/api/nothing", None, 404),
        ("POST", "/api/jobs", {"document": "x = "}, 422),
        ("POST", "/api/jobs", {"documents": ""}, 422),
        ("POST", "/api/jobs", {"document": "x" * 2_000_001}, 422),
        ("PATCH", "/api/jobs/nobody/fields", {"edits": []}, 422),
        ("PUT", "/api/jobs/nobody/document", {"version": 0, "text": ""}, 422),
    ],
)
def test_every_refusal_has_one_shape(
    client: httpx.Client, method: str, path: str, body: dict[str, object] | None, status: int
) -> None:
    answer = client.request(method, path, json=body)
    assert answer.status_code == status
    told = answer.json()
    assert told.keys() == {"error", "errors"}
    assert told["error"].keys() == {"code", "what", "hint", "where", "line"}
    assert told["errors"][0] == told["error"]


def test_a_document_is_checked_without_being_kept(client: httpx.Client) -> None:
    before = len(client.get("/api/jobs").json())
    assert client.post("/api/check", json={"document": example("bakery-rim")}).json() == []
    faults = client.post("/api/check", json={"document": example("bakery-rim").replace("ft-in", "furlongs")}).json()
    assert faults[0]["where"] == ["units"]
    assert len(client.get("/api/jobs").json()) == before


def test_what_breaks_inside_is_not_told_outside(
    client: httpx.Client, app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(*_: object) -> None:
        raise RuntimeError("the inside of it")

    monkeypatch.setattr(app.state.desk.store.jobs, "all", breaks)
    for path in ("/", "/api/jobs"):
        answer = client.get(path)
        assert answer.status_code == 500
        assert "inside" not in answer.text
        assert "content-security-policy" in answer.headers
