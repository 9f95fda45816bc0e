"""All earlier contacts, found at once: an index of the folder of journals that can be deleted at any time.

The index is derived. The journals alone hold the truth, and whatever is wrong with the index, it is made again
from them. `History` is the door; `history_path` says where the file is.
"""

from fieldtui.history.answers import Candidate, Past, PastContact, Refreshed
from fieldtui.history.history import History
from fieldtui.history.place import history_path

__all__ = ["Candidate", "History", "Past", "PastContact", "Refreshed", "history_path"]
