"""The build sheet as one HTML page: nothing outside it is needed, nothing in it runs."""

from __future__ import annotations

import base64
import io
import json
import re
from typing import Any

from buildlog.publish.box import series_rows
from buildlog.publish.chapter_files import chapters_of
from buildlog.publish.formats import Part
from buildlog.publish.linked_data import document
from buildlog.publish.plain import at_moment, counted, lower, moment
from buildlog.publish.sheet import under_pieces
from buildlog.publish.templating import compiled, fill, ours


def html(part: Part) -> str:
    """The page. Everything from outside is escaped by the template; data for search engines has no ``<`` in it."""
    from markupsafe import Markup

    about, sheet = part.about, part.sheet
    values: dict[str, Any] = {
        "sheet": sheet,
        "css": Markup(ours("page.css")),
        "json_ld": Markup(_inside_script(document(part))),
        "video_url": about.video_url,
        "meta": _meta(part),
        "groups": under_pieces(sheet),
        "chapters": chapters_of(part.log),
        # A sentence explains one thing: where it was taken to explain several, the first to be shown has it.
        "glossary": list({t[2].casefold(): t for t in reversed(sheet.techniques) if t[2]}.values())[::-1],
        "series": [tuple(row[2:].rsplit(": ", 1)) for row in series_rows(sheet, part.host)],
        "stills": {k: _picture(v) for k, v in part.stills.items()},
        "links": lambda seconds: at_moment(about.video_url, seconds, part.host.moment),
        "moment": moment,
        "lower": lower,
    }
    page = fill(compiled(ours("page.html.j2"), markup=True), values, longest=None)
    return "\n".join(line for line in page.split("\n") if line.strip()) + "\n"


def _picture(jpeg: bytes) -> tuple[str, int, int]:
    """A still as the page holds it, with its width and height, so that nothing moves while pictures appear."""
    from PIL import Image

    with Image.open(io.BytesIO(jpeg)) as image:
        width, height = image.size
    return base64.b64encode(jpeg).decode("ascii"), width, height


def _inside_script(value: Any) -> str:
    """JSON that cannot end the element it stands in."""
    text = json.dumps(value, ensure_ascii=False)
    return re.sub("[<>&\u2028\u2029]", lambda m: f"\\u{ord(m[0]):04x}", text)


def _meta(part: Part) -> list[str]:
    sheet, about = part.sheet, part.about
    out = [f"Part {about.number} of {about.parts}"] if about.parts > 1 else []
    if about.build and about.build.casefold() not in sheet.title.casefold():
        out.insert(0, about.build)
    if sheet.length_s:
        out.append(f"{moment(sheet.length_s)} long")
    if sheet.steps:
        out.append(counted(len(sheet.steps), "step"))
    if sheet.total:
        out.append(f"cost as said: {sheet.total}")
    return out
