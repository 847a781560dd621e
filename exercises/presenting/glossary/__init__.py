"""The words of the trade, each in one plain sentence, with a drawing where one says more: for the
"?" beside a word (`help` in templates), for a phone's task and result, and for the page of words.
"""

from ...domain.words import say
from .compass import PARTS, USING
from .directions import DIRECTIONS
from .marking import MARKING
from .measuring import MEASURING
from .places import PLACES

# In the order of the page: the code of a section, its title, its words.
SECTIONS = (
    ("parts", say("The parts of a compass"), PARTS),
    ("using", say("Using a compass"), USING),
    ("directions", say("Directions and norths"), DIRECTIONS),
    ("places", say("Places, maps and walks"), PLACES),
    ("measuring", say("Measuring, and how sure"), MEASURING),
    ("marking", say("Tasks and credit"), MARKING),
)
TERMS = {code: term for _, _, terms in SECTIONS for code, term in terms.items()}
