"""What is typed into forms: saved field by field, never over what another window wrote."""

from __future__ import annotations

import httpx
import pytest
from tests.told_by_faces import COTTAGE_BY_FACES
from tests.web.jobs_on_it import WIDTH, document, form, keep

from snugbay.document import example


def test_a_form_saves_only_what_was_changed(client: httpx.Client) -> None:
    job = keep(client, COTTAGE_BY_FACES)
    back = f"/jobs/{job}/measure?item=faces/K1"
    body = form((WIDTH, "14' 2", "14' 3"), ("/faces/K1/outline/height", "46", "46"), back=back)
    answer = client.post(f"/jobs/{job}/fields", data=body)
    assert (answer.status_code, answer.headers["location"]) == (303, back)
    assert document(client, job)["faces"][0]["outline"]["width"] == "14' 3"
    history = client.get(f"/api/jobs/{job}/history").json()
    assert [v["what"] for v in history[:-1]] == [WIDTH]
    text = client.get(f"/api/jobs/{job}/document").json()["text"]
    assert "# Ferry cottage" in text  # comments stay


def test_a_field_changed_by_another_is_shown_with_both_values(client: httpx.Client) -> None:
    job = keep(client, COTTAGE_BY_FACES)
    client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 3")))
    both = form((WIDTH, "14' 2", "14' 4"), ("/faces/K1/outline/height", "46", "47"))
    answer = client.post(f"/jobs/{job}/fields", data=both)
    assert answer.status_code == 409
    assert "14&#39; 3" in answer.text
    assert "14&#39; 4" in answer.text
    outline = document(client, job)["faces"][0]["outline"]
    assert (outline["width"], outline["height"]) == ("14' 3", "47")
    parts = client.post(f"/jobs/{job}/fields", data=both | {"item": "faces/K1"}, headers={"hx-request": "true"})
    assert 'id="clashes"' in parts.text
    assert f'name="w:{WIDTH}"' not in parts.text.split('id="clashes"')[0]  # the page keeps what it started from


def test_a_stale_page_never_writes_back_what_it_did_not_change(client: httpx.Client) -> None:
    job = keep(client, COTTAGE_BY_FACES)
    client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 3")))
    stale = form((WIDTH, "14' 2", "14' 2"), ("/faces/K1/outline/height", "46", "47"), item="faces/K1")
    answer = client.post(f"/jobs/{job}/fields", data=stale, headers={"hx-request": "true"})
    assert document(client, job)["faces"][0]["outline"]["width"] == "14' 3"
    assert "Another window changed this to 14&#39; 3" in answer.text
    assert f'name="w:{WIDTH}"' not in answer.text


@pytest.mark.parametrize("at", ["/nope", "/faces/K1/outline/shape", "nonsense", "/faces/N77/outline/width"])
def test_a_field_that_no_document_has_is_refused(client: httpx.Client, at: str) -> None:
    job = keep(client, COTTAGE_BY_FACES)
    before = client.get(f"/api/jobs/{job}/document").json()
    assert client.post(f"/jobs/{job}/fields", data=form((at, "", "1"))).status_code == 422
    assert client.get(f"/api/jobs/{job}/document").json() == before


def test_the_way_back_never_leads_away(client: httpx.Client) -> None:
    job = keep(client, COTTAGE_BY_FACES)
    for back in ("//evil.example/", "https://evil.example", f"/jobs/{job}/../..//evil.example", "/jobs/other/measure"):
        answer = client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 2"), back=back))
        assert answer.headers["location"] == f"/jobs/{job}/measure"


def test_typing_is_answered_without_saving(client: httpx.Client) -> None:
    job = keep(client, COTTAGE_BY_FACES)
    answer = client.post(f"/jobs/{job}/sketch", data=form((WIDTH, "14' 2", "14' 5"), item="faces/K1"))
    assert "14&#x27; 5" in answer.text or "14' 5" in answer.text or "14&#39; 5" in answer.text
    assert document(client, job)["faces"][0]["outline"]["width"] == "14' 2"
    assert "nothing checks this one" not in answer.text  # its neighbours have not been asked yet
    assert client.post(f"/jobs/{job}/sketch", data={"item": "nonsense"}).status_code == 204


def test_faces_and_rows_come_and_go(client: httpx.Client) -> None:
    job = keep(client, COTTAGE_BY_FACES)
    added = client.post(
        f"/jobs/{job}/faces", data={"shape": "polygon", "title": "Odd corner", "warm": "inside", "cold": "eaves-n"}
    )
    ident = added.headers["location"].rpartition("/")[2]
    assert document(client, job)["faces"][-1]["id"] == ident
    assert "still to be taped" in client.get(added.headers["location"]).text
    readings = {"at": f"/faces/{ident}/outline", "kind": "angle", "edge": "a-b-c", "version": "0"}
    client.post(f"/jobs/{job}/readings", data=readings)
    assert document(client, job)["faces"][-1]["outline"]["readings"][-1] == {"angle": "A-B-C"}
    client.post(f"/jobs/{job}/rows", data={"at": "/faces/K1/notches", "do": "add"})
    assert document(client, job)["faces"][0]["notches"] == [{}]
    client.post(f"/jobs/{job}/rows", data={"at": "/faces/K1/notches/0", "do": "remove"})
    assert document(client, job)["faces"][0].get("notches", []) == []
    version = str(client.get(f"/api/jobs/{job}").json()["version"])
    client.post(f"/jobs/{job}/faces/remove", data={"at": "/faces/F1", "version": version})
    data = document(client, job)
    assert "F1" not in [f["id"] for f in data["faces"]]
    assert not any("F1" in (j["a"][0], j["b"][0]) for j in data["joins"])


def test_removing_what_another_window_changed_is_refused(client: httpx.Client) -> None:
    job = keep(client, COTTAGE_BY_FACES)
    client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 3")))
    answer = client.post(f"/jobs/{job}/faces/remove", data={"at": "/faces/K1", "version": "1"})
    assert answer.headers["location"].endswith("said=moved-on")
    assert document(client, job)["faces"][0]["id"] == "K1"


def test_the_look_round_and_tools_are_lists(client: httpx.Client) -> None:
    job = keep(client, example("mill-cellar"))
    at = "/look_round/seen"
    body = {f"w:{at}": "", f"f:{at}": ["mould", "bats"], "w:/you/tools": "long knife"}
    client.post(f"/jobs/{job}/fields", data=body)
    data = document(client, job)
    assert data["look_round"]["seen"] == ["mould", "bats"]
    assert "tools" not in data["you"]


def test_the_document_as_text(client: httpx.Client) -> None:
    job = keep(client, example("mill-cellar"))
    text = example("mill-cellar")
    client.post(f"/jobs/{job}/document", data={"text": text.replace("days = 4", "days = 5"), "version": "1"})
    assert document(client, job)["you"]["days"] == 5
    stale = {"text": text.replace("hands = 2", "hands = 1"), "version": "1"}
    client.post(f"/jobs/{job}/document", data=stale)
    assert document(client, job)["you"] == {"hands": 1, "tools": ["long knife"], "days": 5}  # merged
    clash = {"text": text.replace("days = 4", "days = 9"), "version": "1"}
    answer = client.post(f"/jobs/{job}/document", data=clash)
    assert answer.status_code == 409
    assert "days = 9" in answer.text  # what was typed stands in the field
    broken = client.post(f"/jobs/{job}/document", data={"text": "x = ", "version": "3"})
    assert broken.status_code == 303
    assert (
        "not valid TOML" in client.get(f"/jobs/{job}/document").text
        or "not TOML" in client.get(f"/jobs/{job}/document").text
    )
    assert client.get(f"/jobs/{job}/measure").status_code == 200
    client.post(f"/jobs/{job}/restore", data={"number": "3"})
    assert document(client, job)["you"]["days"] == 5
    sent = client.get(f"/jobs/{job}/job.toml")
    assert sent.headers["content-disposition"] == f'attachment; filename="{job}.toml"'
