"""Room words: the one writer that puts facts into words, in the units, the currency and the language of a job.

In: findings, phrases and quantities as `snugbay.base` has them, and the table of words (``data/words``). Out: text.
Nothing here is reckoned, and nobody reads the text back.
"""

from snugbay.words.figures import Figures, other_system
from snugbay.words.gathering import gathered
from snugbay.words.table import LANGUAGE, Table, languages, table_of
from snugbay.words.writer import Writer, writer_for, writer_of

__all__ = [
    "LANGUAGE",
    "Figures",
    "Table",
    "Writer",
    "gathered",
    "languages",
    "other_system",
    "table_of",
    "writer_for",
    "writer_of",
]
