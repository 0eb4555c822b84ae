"""The list of jobs: started, opened from a file, taken off and brought back."""

from __future__ import annotations

import tomllib

import httpx
import pytest
from tests.web.jobs_on_it import document, keep

from snugbay.document import example
from snugbay.web.pages.jobs import blank_document


def test_a_new_job_starts_without_faces_and_says_what_is_missing(client: httpx.Client) -> None:
    body = {"title": "Loft", "units": "ft-in", "climate": "Portland, ME", "fuel": "oil", "space": "Top loft"}
    answer = client.post("/jobs", data=body | {"width": "22", "height": "30", "clear_run": "60"})
    page = client.get(answer.headers["location"]).text
    assert "Add the first face" in page
    assert client.post("/jobs", data={"title": " "}).status_code == 422
    job = answer.headers["location"].split("/")[2]
    assert document(client, job)["zones"][2] == {
        "id": "top-loft", "title": "Top loft", "kind": "buffer", "may_come_inside": True,
    }  # fmt: skip
    assert tomllib.loads(
        blank_document("x", dict.fromkeys(("units", "climate", "fuel", "space", "width", "height", "clear_run"), ""))
    )


def test_a_job_can_be_taken_off_the_list_and_brought_back(client: httpx.Client) -> None:
    job = keep(client, example("mill-cellar"), "off the list")
    page = client.get(client.post(f"/jobs/{job}/remove").headers["location"]).text
    assert "Bring it back" in page
    assert job not in [j["id"] for j in client.get("/api/jobs").json()]
    client.post(f"/jobs/{job}/bring-back")
    assert job in [j["id"] for j in client.get("/api/jobs").json()]


def test_a_file_is_opened_or_refused_with_a_reason(client: httpx.Client) -> None:
    sent = client.post("/jobs/file", files={"file": ("a.toml", example("bakery-rim").encode())})
    again = client.post("/jobs/file", files={"file": ("b.toml", b"\xef\xbb\xbf" + example("bakery-rim").encode())})
    assert again.headers["location"] == sent.headers["location"], "the same file is one job, however often it is opened"
    assert sent.headers["location"].endswith("/measure")
    for body, words in ((b"\xff\xfe\x00", "UTF-8"), (b"x = ", "TOML")):
        answer = client.post("/jobs/file", files={"file": ("a.toml", body)})
        assert answer.status_code == 422
        assert words in answer.text
    assert client.post("/jobs/file", data={"x": "y"}).status_code == 422


def test_places_are_suggested(client: httpx.Client) -> None:
    assert "Dresden" in client.get("/places?q=Dresd").text
    assert "option" not in client.get("/places?q=x").text


def test_a_cold_space_starts_with_its_rough_volume(client: httpx.Client) -> None:
    said = {"title": "Eaves", "units": "ft-in", "climate": "Portland, ME", "space": "North eaves"}
    said |= {"width": "22", "height": "30", "clear_run": "58"}
    sizes = {"space_length": "20'", "space_width": "60", "space_height": "1.2 m"}
    job = client.post("/jobs", data={**said, **sizes}).headers["location"].split("/")[2]
    (space,) = [z for z in document(client, job)["zones"] if z["kind"] == "buffer"]
    assert space["volume_m3"] == pytest.approx(6.096 * 1.524 * 1.2 / 2, abs=0.05)
    job = client.post("/jobs", data=said).headers["location"].split("/")[2]
    face = {"shape": "rectangle", "warm": "inside", "cold": "outside", "version": "1"}
    client.post(f"/jobs/{job}/faces", data=face)
    sides = {"w:/faces/R1/outline/width": "", "f:/faces/R1/outline/width": "40"}
    sides |= {"w:/faces/R1/outline/height": "", "f:/faces/R1/outline/height": "40"}
    client.post(f"/jobs/{job}/fields", data=sides)
    page = client.get(f"/jobs/{job}/measure").text
    assert "air volume" in page  # what is wrong beside the faces is told here too
    assert f'href="/jobs/{job}/about"' in page
    assert client.post("/jobs", data={**said, **sizes, "space_width": "wide"}).status_code == 422


def test_an_empty_file_is_no_job(client: httpx.Client) -> None:
    before = client.get("/api/jobs").json()
    for body in (b"", b"# only a remark"):
        answer = client.post("/jobs/file", files={"file": ("a.toml", body, "text/plain")})
        assert (answer.status_code, "The file is empty." in answer.text) == (422, True)
    assert client.get("/api/jobs").json() == before
