"""Makes the inputs of the bad-input corpus: python3 make.py (openpyxl 3.1.5, odfpy 1.4.1 for the workbooks).

All data are invented: a body hoisted to 12 m, hung, dropped at about 4 m/s, resting again. What a file is like,
not what it measures, is the matter here. `expected.txt` beside each input is written by the test (see corpus.rs)
and was read by a person.
"""

import datetime
import io
import math
import os
import zipfile

HERE = os.path.dirname(os.path.abspath(__file__))


def height(t):
    """Height in m at t s: rest, hoist, hang, fall that nears 4 m/s, rest; with a small fixed ripple."""
    if t < 1.0:
        h = 0.0
    elif t < 3.0:
        h = 6.0 * (t - 1.0)
    elif t < 4.0:
        h = 12.0
    else:
        fall, gain = t - 4.0, 4.0 / 9.80665
        h = max(0.0, 12.0 - 4.0 * (fall - gain * (1.0 - math.exp(-fall / gain))))
    return h + 0.04 * math.sin(37.0 * t)


TIMES = [n / 10 for n in range(80)]
H = [height(t) for t in TIMES]


def pressure(h):
    """Pressure in hPa over 1000 hPa ground, 0.12 hPa a metre."""
    return 1000.0 - 0.12 * h


def lines(header, fields, sep=",", end="\n"):
    """A header line (or none) and one line for each row of fields."""
    rows = ([header] if header else []) + [sep.join(f) for f in fields]
    return end.join(rows) + end


def pairs(time="{:.1f}", value="{:.2f}", scale=1.0, tscale=1.0):
    return [[time.format(t * tscale), value.format(h * scale)] for t, h in zip(TIMES, H)]


def comma(rows):
    return [[c.replace(".", ",") for c in r] for r in rows]


CASES = {}


def case(name, data, ext="csv", options=None):
    CASES[name] = (data.encode() if isinstance(data, str) else data, ext, options)


PLAIN = lines("time_s,height_m", pairs())
case("plain-comma", PLAIN)
case("semicolon-decimal-comma", lines("Zeit (s);Höhe (m)", comma(pairs()), ";"))
case("tabs", lines("t [s]\tAlt [m]", pairs(), "\t"), "txt")
case("blanks-without-header", "\n".join(f"{t:6.1f}   {h:7.2f}" for t, h in zip(TIMES, H)) + "\n", "txt")
case("preamble-in-free-text", "Logger 7, firmware 2.1\nSerial: 12345\nStarted 2024-05-03\n\n" + PLAIN)
case("comment-is-the-header", "# made by hand\n# time_s, height_m\n" + lines(None, pairs()))
case("comments-among-rows", PLAIN.replace("2.0,", "# hoisting\n2.0,"))
case("row-of-units", lines("time;altitude\ns;ft", pairs(value="{:.0f}", scale=1 / 0.3048), ";"))
case("utf8-with-mark", b"\xef\xbb\xbf" + PLAIN.encode())
case("utf16-low-first-with-mark", b"\xff\xfe" + lines("t (s);Höhe (m)", pairs(), ";").encode("utf-16-le"))
case("utf16-high-first-without-mark", lines("t (s);Höhe (m)", pairs(), ";").encode("utf-16-be"))
case("latin-1-by-hand", lines("Zeit in s;Höhe in m;Temp. (°C)", [r + ["18,5"] for r in comma(pairs())], ";").encode("latin-1"))
case("line-ends-cr", PLAIN.replace("\n", "\r"))
case("line-ends-crlf", PLAIN.replace("\n", "\r\n"))
case("names-in-french", lines("Temps (s);Hauteur (m);Vitesse (m/s)", [r + ["0"] for r in pairs()], ";"))
case("names-in-russian", lines("Время, с;Высота, м", pairs(), ";"))
case("columns-swapped", lines("height_m,time_s", [r[::-1] for r in pairs()]))
case("time-in-ms-not-stated", lines("time,height_m", pairs(time="{:.0f}", tscale=1000)))
case("time-in-us-by-name", lines("micros,height_m", pairs(time="{:.0f}", tscale=1e6)))
case("time-step-of-one-not-stated", lines("t,height_m", [[str(n), f"{h:.2f}"] for n, h in enumerate(H)]))


def clock(seconds, digits=1):
    whole = int(seconds)
    return f"{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{seconds % 60:0{3 + digits}.{digits}f}"


case("clock-over-midnight", lines("Time,Alt (m)", [[clock(86396 + t), f"{h:.2f}"] for t, h in zip(TIMES, H)]))
case("minutes-over-the-hour", lines("Time,Alt (m)", [[f"{int(3596 + t) // 60 % 60:02d}:{(3596 + t) % 60:04.1f}", f"{h:.2f}"] for t, h in zip(TIMES, H)]))
ISO = datetime.datetime(2024, 3, 31, 0, 59, 56)
case("iso-with-offset", lines("Timestamp,Alt (m)", [[(ISO + datetime.timedelta(seconds=t)).isoformat(timespec="milliseconds") + "+01:00", f"{h:.2f}"] for t, h in zip(TIMES, H)]))
case("american-date-half-day", lines("Date,Alt (ft)", [[(ISO + datetime.timedelta(seconds=t)).strftime("%m/%d/%Y %I:%M:%S.%f")[:-5] + " AM", f"{h / 0.3048:.0f}"] for t, h in zip(TIMES, H)]))
case("german-date", lines("Datum;Höhe (m)", [[(ISO + datetime.timedelta(seconds=t)).strftime("%d.%m.%Y %H:%M:%S,%f")[:-5], f"{h:.2f}".replace(".", ",")] for t, h in zip(TIMES, H)], ";"))
case("date-and-clock-apart", lines("Date,Time,Alt (m)", [["2024-05-03", clock(36000 + t), f"{h:.2f}"] for t, h in zip(TIMES, H)]))
case("epoch-with-microseconds", lines("epoch,Alt (m)", [[f"{1714730400 + t:.6f}", f"{h:.2f}"] for t, h in zip(TIMES, H)]))
case("clock-coarser-than-rows", lines("time (s),Alt (m)", [[f"{int(t + 0.3)}", f"{h:.2f}"] for t, h in zip(TIMES, H)]))
case("rows-are-the-clock", lines("sample,Alt (m)", [[str(n), f"{h:.2f}"] for n, h in enumerate(H)]), options="time row@10Hz")
case("single-column-with-rate", "\n".join(f"{h:.2f}" for h in H) + "\n", "txt", "time row@10Hz\nheight 1:m")
case("no-time", lines("Alt (m),Temp (C)", [[f"{h:.2f}", "18.5"] for h in H]))
case("only-a-counter", lines("sample,Alt (m)", [[str(n), f"{h:.2f}"] for n, h in enumerate(H)]))
case("height-in-feet", lines("t (s),Alt (ft)", pairs(value="{:.0f}", scale=1 / 0.3048)))
case("height-in-cm", lines("t_s,alt_cm", pairs(value="{:.0f}", scale=100)))
case("height-in-no-unit", lines("time_s,Altitude", pairs()))
P = [pressure(h) for h in H]
case("pressure-without-header", lines(None, [[f"{t:.1f}", f"{p:.2f}"] for t, p in zip(TIMES, P)]))
case("pressure-and-temperature-without-header", lines(None, [[clock(36000 + t, 2), f"{p * 100:.0f}", f"{21.5 + 0.1 * (n % 3):.1f}"] for n, (t, p) in enumerate(zip(TIMES, P))]))
case("barometer-height-by-name", lines("ms,baro", [[f"{t * 1000:.0f}", f"{h:.2f}"] for t, h in zip(TIMES, H)]))
case("sold-by-the-foot", "Model 4, serial 77, firmware 1.02\n" + lines("Time (sec),Altitude (feet),Velocity (ft/sec),Temp (F),Voltage", [[f"{t:.2f}", f"{h / 0.3048:.0f}", "0", "68.2", "3.9"] for t, h in zip(TIMES, H)], end="\r\n"))
case("rule-under-the-header", "Time(s)   Height(m)   Vel(m/s)\n-------   ---------   --------\n" + "\n".join(f"{t:7.1f}   {h:9.2f}   0.0" for t, h in zip(TIMES, H)) + "\n", "txt")
case("pressure-tells-feet", lines("Index,Time,Pressure,Altitude", [[str(n), str(n * 100), f"{p:.2f}", f"{h / 0.3048:.1f}"] for n, (h, p) in enumerate(zip(H, P))]))
case("separator-line-first", "sep=;\n" + lines("t;Höhe", comma(pairs()), ";"))
case("pressure-in-pa-not-stated", lines("time_s,pressure", [[f"{t:.1f}", f"{p * 100:.0f}"] for t, p in zip(TIMES, P)]))
case("pressure-in-inches", lines("time_s,Baro (in Hg)", [[f"{t:.1f}", f"{p * 100 / 3386.38864:.4f}"] for t, p in zip(TIMES, P)]))
case("pressure-in-psi-not-stated", lines("time_s,press", [[f"{t:.1f}", f"{p * 100 / 6894.757:.4f}"] for t, p in zip(TIMES, P)]))
case("several-heights", lines("time_s,gps_alt_m,alt_filtered_m,alt_raw_m,pressure_hPa,speed_m_s", [[f"{t:.1f}", f"{h + 3:.0f}", f"{h:.1f}", f"{h:.2f}", f"{p:.2f}", "0"] for t, h, p in zip(TIMES, H, P)]))
case("satellites-only", lines("time_s,GPS altitude (m)", pairs()))
case("two-unnamed-columns", lines(None, [[f"{t:.1f}", f"{h:.2f}", f"{h / 3:.2f}"] for t, h in zip(TIMES, H)]))
case("sparse-values", lines("time_s,temp_C,alt_m", [[f"{t:.1f}", "" if n % 2 else "20.1", "" if n % 2 else f"{h:.2f}"] for n, (t, h) in enumerate(zip(TIMES, H))]))


def edited(edit):
    rows = pairs()
    edit(rows)
    return lines("time_s,height_m", rows)


def spoil(rows):
    rows[20][1] = "error"
    rows[21][1] = "err or"
    rows[40][0] = "later"


def blank(rows):
    for at, word in ((20, "NaN"), (30, "--"), (50, "")):
        rows[at][1] = word


case("words-for-no-value", edited(blank))
case("not-numbers", edited(spoil))
case("short-and-long-rows", edited(lambda r: (r[10].pop(), r[30].append("7"), r[31].append("8"), r[32].append(""))))
case("delimiter-at-line-ends", lines("time_s,height_m,", [r + [""] for r in pairs()]))
case("times-repeated", edited(lambda r: (r.insert(21, list(r[20])), r.insert(40, [r[39][0], "9.99"]))))
case("rows-repeated-as-a-block", edited(lambda r: r.__setitem__(slice(40, 40), [list(x) for x in r[30:40]])))
case("one-time-backward", edited(lambda r: r[40].__setitem__(0, "0.4")))
case("one-time-ahead", edited(lambda r: r[40].__setitem__(0, "940.0")))
case("clock-restarts-with-header", PLAIN + PLAIN)
case("clock-set-back", edited(lambda r: [x.__setitem__(0, f"{float(x[0]) - 2.0:.1f}") for x in r[50:]]))
case("samples-missing", edited(lambda r: (r.__delitem__(slice(60, 75)), r.__delitem__(slice(20, 40)))))
case("sensor-at-its-end", lines("time_s,height_m", [[f"{t:.2f}", f"{min(h, 9.0):.2f}"] for t, h in [(n / 50, max(0.0, 12.0 - 6.0 * abs(n / 50 - 2.0))) for n in range(200)]]))
case("value-never-changes", lines("time_s,height_m", [[f"{t:.1f}", "0.00"] for t in TIMES]))
case("impossible-values", lines("time_s,pressure_hPa", [[f"{t:.1f}", "0" if n == 30 else "-9999" if n in (50, 51) else f"{p:.2f}"] for n, (t, p) in enumerate(zip(TIMES, P))]))
case("last-line-cut", PLAIN[:-4])
case("last-line-without-end", PLAIN[:-1])
case("zero-bytes-after-power-cut", PLAIN.encode().replace(b"4.0,", b"\0" * 64 + b"\n4.0,"))
case("mark-where-files-were-joined", b"\xef\xbb\xbf" + PLAIN.encode() + b"\xef\xbb\xbf" + "\n".join(f"{t + 9:.1f},{h:.2f}" for t, h in zip(TIMES, H)).encode() + b"\n")
case("bytes-without-meaning", PLAIN.encode().replace(b"height_m", b"height_m\xff"), options="encoding utf-8")
case("empty", "", "csv")
case("blanks-only", "\n  \n\t\n")
case("header-only", "time_s,height_m\n")
case("prose", "It was a fine day.\nNothing was recorded, as the logger stayed at home.\n", "txt")
case("image", b"\x89PNG\r\n\x1a\n" + bytes(range(64)), "png")
case("web-page", "<!DOCTYPE html>\n<html><body><p>Log in first</p></body></html>\n", "csv")
case("structured-text", '{"time": [0, 0.1], "height": [0, 1]}\n', "json")
case("binary", bytes((n * 37 + n // 7) % 256 for n in range(1, 2000)), "bin")
case("decimal-comma-between-commas", lines("Zeit,Höhe", comma(pairs())))
case("decimal-comma-between-commas-without-header", lines(None, comma(pairs())))
case("thousands-or-decimals", lines("time_s;alt_m", [[str(n), f"1,{200 + n}"] for n in range(40)], ";"))
case("thousands-beyond-doubt", lines("time_s;alt_m", [[f"{n}.5", f"{990 + n:,}.25"] for n in range(40)], ";"))
case("decimal-comma-in-quotes", lines('"Zeit (s)","Höhe (m)"', [[f'"{c}"' for c in r] for r in comma(pairs())]))
case("counter-of-microseconds-runs-over", lines("time_us,alt_m", [[str((4294967295 - 3_999_999 + round(t * 1e6)) % 2**32), f"{h:.2f}"] for t, h in zip(TIMES, H)]))
case("true-minus-signs", lines("time_s;height_m", [[f"{t:.1f}", f"{h - 0.5:.2f}".replace("-", "\u2212")] for t, h in zip(TIMES, H)], ";"))
case("option-names-no-column", PLAIN, options="height Altitude:ft")
case("option-beyond-the-last-column", PLAIN, options="height 3:ft")
case("option-says-feet", PLAIN, options="height 2:ft\ntime time_s")
case("option-takes-pressure", lines("time_s,alt_m,pressure_hPa", [[f"{t:.1f}", f"{h:.2f}", f"{p:.2f}"] for t, h, p in zip(TIMES, H, P)]), options="pressure 3:hPa")
case("commas-said-to-part-cells", lines(None, [[str(n * 100), "1", f"{98000 - h * 12:.0f}"] for n, h in enumerate(H)]), options="delimiter ,\ndecimal .\npressure 3:Pa\ntime 1:ms")
case("commas-not-said-to-part-cells", lines(None, [[str(n * 100), "1", f"{98000 - h * 12:.0f}"] for n, h in enumerate(H)]))
case("header-lines-said", "7,8\n9,10\n" + lines("a,b", pairs()), options="header-lines 3\nheight b:ft\ntime a:s")
case("sheet-asked-of-a-text", PLAIN, options="sheet Data")
case("archive", None)
case("old-workbook", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(100), "xls")
case("damaged-workbook", None)


def xlsx(two=False, times=False):
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Notes" if two else "Data"
    if two:
        sheet.append(["flown at noon"])
        sheet = book.create_sheet("Tower 2")
    sheet.append(["Time" if times else "Time (s)", "Alt (ft)"])
    for t, h in zip(TIMES, H):
        when = datetime.datetime(2024, 5, 3, 12, 0, 0) + datetime.timedelta(seconds=t)
        sheet.append([when if times else t, round(h / 0.3048)])
        if times:
            sheet.cell(sheet.max_row, 1).number_format = "yyyy-mm-dd hh:mm:ss.000"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def ods():
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P as Paragraph

    book = OpenDocumentSpreadsheet()
    table = Table(name="Messung")
    row = TableRow()
    for name in ("Uhrzeit", "Höhe (m)"):
        cell = TableCell(valuetype="string")
        cell.addElement(Paragraph(text=name))
        row.addElement(cell)
    table.addElement(row)
    for t, h in zip(TIMES, H):
        row = TableRow()
        row.addElement(TableCell(valuetype="time", timevalue=f"PT10H30M{t:.1f}S"))
        row.addElement(TableCell(valuetype="float", value=f"{h:.2f}"))
        table.addElement(row)
    book.spreadsheet.addElement(table)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def archive():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as z:
        z.writestr("log.csv", PLAIN)
    return out.getvalue()


case("archive", archive(), "zip")
case("workbook", xlsx(), "xlsx")
case("workbook-with-dates", xlsx(times=True), "xlsx")
case("workbook-of-two-sheets", xlsx(two=True), "xlsx")
case("workbook-sheet-missing", xlsx(two=True), "xlsx", "sheet Tower 3")
case("open-workbook-with-times", ods(), "ods")
case("damaged-workbook", xlsx()[:3000], "xlsx")

for name, (data, ext, options) in CASES.items():
    folder = os.path.join(HERE, name)
    os.makedirs(folder, exist_ok=True)
    with open(os.path.join(folder, f"input.{ext}"), "wb") as f:
        f.write(data)
    if options:
        with open(os.path.join(folder, "options.txt"), "w") as f:
            f.write(options + "\n")
print(len(CASES), "cases")
