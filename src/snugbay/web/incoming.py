"""A job document from a file, put on the list of jobs."""

from __future__ import annotations

from snugbay.base import InputError
from snugbay.document.bounded import toml_data
from snugbay.store import Store


def put_on_list(store: Store, text: str, filename: str, author: str) -> str:
    """Put a document on the list; one that came in before, word for word, is not put there twice.

    Parameters
    ----------
    store : Store
        The saved jobs.
    text : str
        The document, TOML.
    filename : str
        Its name; gives the job's where the document has none.
    author : str
        Who opens it.

    Returns
    -------
    str
        Id of the job.

    Raises
    ------
    InputError
        If the text is not TOML, or empty.
    """
    data = toml_data(text)
    if not data:
        raise InputError("The file is empty.", hint="Is it the right file?", code="web.file")
    for row in store.jobs.all():
        if store.jobs.version(row.id, 1).text == text:
            return row.id
    title = data.get("title") or data.get("name") or filename.rpartition(".")[0]
    return store.jobs.create(str(title)[:120], text, author, "file").job
