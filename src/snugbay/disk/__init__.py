"""Room disk: files written whole or not at all, one writer behind every door; folders put in place at once.

A file is read under its lock where it is changed, written to a private neighbour, synced and put in its place. A folder
of results is made beside and exchanged for the old one; only what its manifest names is ever removed.
"""

from snugbay.disk.folder import MANIFEST, check_place, place_folder
from snugbay.disk.lock import locked
from snugbay.disk.whole import same_file, write_whole

__all__ = ["MANIFEST", "check_place", "locked", "place_folder", "same_file", "write_whole"]
