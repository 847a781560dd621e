"""What is sent in the place of something sensible."""

import json

NUMBERS = ["0", "-1", "1e400", "NaN", "-0", "inf", "9" * 30, "1" * 5_000, "0x10", "1_000", "٣", "²"]
MOMENTS = [
    "2026-02-30",
    "2026-13-45T99:99:99Z",
    "0001-01-01T00:00:00+14:00",
    "9999-12-31T23:59:59-14:00",
]
TEXTS = [
    "",
    " ",
    "\x00",
    "a\x00b",
    "\x07\x1b[0m",
    "\ud800",
    "\u202e\u2066",
    "e" + "\u0301\u0323" * 400,
    "x" * 40_000,
    " " * 8_000,
    "(" * 3_000,
    "'" * 300 + '"' * 300,
    "°" * 500,
    "=1+1",
    "%s%n{0}{a.b}",
    "<script>",
    "../../etc",
    "🧭" * 20,
    "A,B;C\tD\nE",
]
HOSTILE = [*NUMBERS, *MOMENTS, *TEXTS]
JSON_HOSTILE = [
    None,
    True,
    False,
    0,
    -1,
    10**18,
    10**30,
    float("nan"),
    float("inf"),
    1e308,
    "",
    "\ud800",
    "x" * 40_000,
    "2026-13-45T99:99:99Z",
    "0001-01-01T00:00:00+14:00",
    [],
    {},
    [[]],
    {"a": {"a": {}}},
    [0] * 3_000,
]
RAW = [
    b"",
    b"\x00",
    b"\xff\xfe{\x00}\x00",
    b"[" * 20_000,
    b'{"a":1,"a":2,"readings":[],"readings":{}}',
    b"a=%ff&a=%00&a=%ud800",
    b"%",
    b"&" * 8_000,
    b"null",
]
CONTENT_TYPES = [
    "application/json",
    "application/x-www-form-urlencoded",
    "application/x-www-form-urlencoded; charset=utf-16",
    "multipart/form-data; boundary=x",
    "multipart/form-data",
    "multipart/form-data; boundary=" + "x" * 300,
    "text/plain",
    "",
]
FILES = [
    b"name,lat,lon\nGate,-45.131,170.101\n",
    b"Gate: 45.13020 S, 170.10030 E\nP2: 59G 429226 5002214\n",
    b"1,5002214,429226,12,peg\n2,5002224,429236,12,peg\n",
    b'<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="-45.13" lon="170.1"><name>A</name>'
    b"<ele>12</ele></wpt></gpx>",
    b"<kml><Placemark><name>A</name><Point><coordinates>170.1,-45.13,3</coordinates></Point>"
    b"</Placemark></kml>",
    b'{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point",'
    b'"coordinates":[170.1,-45.13]},"properties":{"name":"A"}}]}',
    b"PK\x03\x04",
    b"person,task,answer\nMia,1,044\n",
]


def spoilt(rng, content):
    """Bytes with something cut out, doubled or put in at one to four places."""
    content = bytearray(content)
    for _ in range(rng.randint(0, 4)):
        place = rng.randint(0, len(content))
        what = rng.randint(0, 3)
        if what == 0:
            del content[place : place + rng.randint(1, 9)]
        elif what == 1:
            content[place:place] = content[place : place + 40] * rng.choice([1, 3, 500])
        elif what == 2:
            content[place:place] = rng.choice(HOSTILE).encode("utf-8", "surrogatepass")
        else:
            content[place : place + 1] = bytes([rng.randint(0, 255)])
    return bytes(content)


def spoilt_json(rng, sent):
    """A value of JSON with one of its parts replaced, taken away or doubled, at any depth."""
    if isinstance(sent, dict) and sent and rng.random() < 0.8:
        key = rng.choice(sorted(sent))
        if rng.random() < 0.1:
            return {name: value for name, value in sent.items() if name != key}
        return {**sent, key: spoilt_json(rng, sent[key])}
    if isinstance(sent, list) and sent and rng.random() < 0.8:
        place = rng.randrange(len(sent))
        return [*sent[:place], spoilt_json(rng, sent[place]), *sent[place:]]
    return rng.choice(JSON_HOSTILE)


def as_bytes(sent):
    """JSON as a script could send it, lone surrogates and all."""
    return json.dumps(sent).encode()
