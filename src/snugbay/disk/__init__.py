"""Room disk: files written whole or not at all, one writer and one reader behind every door; folders put in at once.

Nothing is read before its size and kind are known.
A file is read under its lock where it is changed, written to a private neighbour, synced and put in its place. A folder
of results is made beside and exchanged for the old one; only what its manifest names is ever removed.
"""

from snugbay.disk.folder import MANIFEST, check_place, place_folder
from snugbay.disk.lock import locked
from snugbay.disk.reading import LARGEST_BESIDE, decoded, read_text, text_beside, within
from snugbay.disk.whole import same_file, write_whole

__all__ = [
    "LARGEST_BESIDE",
    "MANIFEST",
    "check_place",
    "decoded",
    "locked",
    "place_folder",
    "read_text",
    "same_file",
    "text_beside",
    "within",
    "write_whole",
]
