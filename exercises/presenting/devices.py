"""What a browser calls itself, in words: roughly which one, on what."""

from ..languages import tell

# The first that a text holds is the one: later ones are claimed by earlier ones too. Tokens as in
# MDN's “Browser detection using the user agent” and “User-Agent header”.
BROWSERS = (
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("OPR/", "Opera"),
    ("Edg/", "Edge"),
    ("EdgA/", "Edge"),
    ("EdgiOS/", "Edge"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
SYSTEMS = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("CrOS", "ChromeOS"),
    ("Mac OS X", "Mac"),
    ("Linux", "Linux"),
)


def device_text(agent):
    """Roughly what a browser that calls itself so is: “Firefox on Windows”."""
    browser, system = _first(BROWSERS, agent), _first(SYSTEMS, agent)
    if browser and system:
        return tell("{browser} on {system}", browser=browser, system=system)
    return browser or system or tell("A browser that does not say which")


def _first(table, agent):
    """The name of the first row whose token a text holds; empty for none."""
    return next((name for token, name in table if token in agent), "")
