"""Makes the fonts that PDF needs: two weights out of the page's font, and a cut of a font for equations.

    python3 cut.py NewCMMath-Regular.otf        (fonttools 4 and brotli)
"""
import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont
from fontTools.varLib.instancer import instantiateVariableFont

here = Path(__file__).parent


def named(font, family, style, whole):
    names = {1: family, 2: "Regular", 3: whole, 4: whole, 6: whole.replace(" ", "-"), 16: family, 17: style}
    for record in list(font["name"].names):
        if record.nameID not in (0, 5, 13, 14):
            font["name"].names.remove(record)
    for number, text in names.items():
        font["name"].setName(text, number, 3, 1, 0x409)


source = here.parent.parent / "report/assets/font/inter-subset.woff2"
for weight, style in ((400, "Regular"), (600, "SemiBold")):
    font = TTFont(source, recalcTimestamp=False)
    font = instantiateVariableFont(font, {"wght": weight})
    font.flavor = None
    named(font, "Inter", style, f"Inter {style}")
    font["OS/2"].usWeightClass = weight
    font.save(here / f"inter-{weight}.ttf")

# Latin, Greek, figures, the signs of sums and brackets, upright and slanted, with what grows out of them.
WANTED = (
    "20-7E A0 B0-B3 B7 BD D7 F7 391-3C9 3D1 3D5 3F5 2009 200A 2032 2033 2044 2061-2064 2070-207B 2080-2089 2202 2206 "
    "2211 2212 2215 221A 221E 2248 2260 2264 2265 22C5 210E 1D434-1D467 1D6A4 1D6A5 1D6E2-1D71B"
)
options = subset.Options(layout_features=["ssty", "dtls", "flac", "kern"], hinting=False, desubroutinize=True)
font = subset.load_font(sys.argv[1], options)
cut = subset.Subsetter(options)
cut.populate(unicodes=subset.parse_unicodes(WANTED.replace(" ", ",")))
cut.subset(font)
# The licence asks that what is changed gets another name.
font["CFF "].cff.fontNames = ["Silkfall-Math"]
named(font, "Silkfall Math", "Regular", "Silkfall Math")
subset.save_font(font, here / "math.otf", options)
