"""Answers the questions of tests/outside.rs with implementations that are not ours.

One question a line in the file named, one answer a line:

    check TEXT               the ISO/IEC 7064 MOD 37-2 check character, by python-stdnum
    colour L a b L a b       CIEDE2000 and CIE76, by coloraide
    path PLANE TRAGUS CONDYLE TABLE BALKWILL RADIUS BEHIND
                             the inclination of a point's path to the occlusal plane, both readings taken against
                             PLANE; by the pole of the motion, the planes turned by rotation matrices
    turn OPENING RADIUS      the turn that opens a point by a chord, by halving the interval
    shift ERROR TURN         how far a jaw lands beside its place that is turned about a wrong axis
    closed COUNTRY YEAR      the holidays of that year, by holidays
    workday START COUNT COUNTRIES
                             the day COUNT working days after START, by dateutil and holidays
    ics HEX                  uid, day, summary, moment and sequence of each event of a calendar file, by icalendar
    calendar HEX             version, name, description and seconds between two readings of a calendar file, by icalendar
    quartiles V V V ...      least, lower quartile, median, upper quartile and most, by numpy (method "linear")
    wilson PART WHOLE        the score interval of 95 %, by scipy
    beyond OFF WITHIN PLUS   how likely a value lies beyond a limit that is read OFF from what was asked, give or take PLUS
                             at 95 per cent, and may be WITHIN off, by scipy
    figures                  code point and value of each decimal figure (Nd), and on a line of its own the ranges of what
                             is no character, by unicodedata
    csv HEX                  the rows of a file, by the module csv, which reads strictly
    plan JOB                 when each step ends, when it has to end at the latest, and what is to spare, by dateutil;
                             backward by trying each day forward until the work would come too late; and the first day
                             from there on that the office is open on, with the next
    picture KEPT SENT        format, mode, size and what stands beside the pixels of KEPT, and how far its pixels are from
                             those of SENT as it stands upright, of 255, by Pillow
    scans FOLDER             writes a surface into FOLDER in each form that scanners write, by trimesh; how many files
    surface FILE             triangles, sides of the box, area and volume, by trimesh
"""
import bisect
import csv
import datetime
import functools
import io
import json
import math
import sys
import unicodedata

import holidays
from coloraide import Color
import icalendar
import numpy
import scipy.stats
import trimesh
from PIL import Image, ImageChops, ImageOps, ImageStat
from dateutil.rrule import DAILY, FR, MO, SA, SU, TH, TU, WE, rrule, rruleset
from stdnum.iso7064 import mod_37_2

# Degrees by which each plane dips forward below the Frankfort plane: Kumar 2013 and a maker's sheet of planes, as
# published; the tragus point decides for Camper's plane.
DIPS = {
    ("frankfort", "none"): 0.0,
    ("natural_head", "none"): 5.0,
    ("camper", "none"): 10.0,
    ("camper", "lower"): 10.31,
    ("camper", "middle"): 13.67,
    ("occlusal", "none"): 11.96,
}


def rotation(degrees):
    angle = math.radians(degrees)
    return ((math.cos(angle), -math.sin(angle)), (math.sin(angle), math.cos(angle)))


def turned(matrix, vector):
    return tuple(sum(cell * part for cell, part in zip(row, vector)) for row in matrix)


def path(plane, tragus, condyle, table, balkwill, radius, behind):
    """Side view in the head's own frame: x forward along the Frankfort line, y up."""
    forward = (1.0, 0.0)

    def reading(degrees):
        # Down from the plane that was read against, which itself dips below Frankfort.
        return turned(rotation(-DIPS[plane, tragus] - degrees), forward)

    # Into the frame of the occlusal plane: its line becomes the x axis.
    to_occlusal = rotation(DIPS["occlusal", "none"])
    condyle_way = turned(to_occlusal, reading(condyle))
    incisor_way = turned(to_occlusal, reading(table))
    incisor = (0.0, 0.0)
    joint = turned(rotation(180.0 - balkwill), (radius, 0.0))
    point = (-behind, 0.0)
    # A rigid body turns about the point where the normals of two of its points' paths meet.
    quarter = rotation(90.0)
    normal_j, normal_i = turned(quarter, condyle_way), turned(quarter, incisor_way)
    across = normal_i[0] * normal_j[1] - normal_i[1] * normal_j[0]
    if abs(across) < 1e-12:
        way = incisor_way
    else:
        along = ((joint[0] - incisor[0]) * normal_j[1] - (joint[1] - incisor[1]) * normal_j[0]) / across
        pole = (incisor[0] + along * normal_i[0], incisor[1] + along * normal_i[1])
        way = turned(quarter, (point[0] - pole[0], point[1] - pole[1]))
        if way[0] < 0:
            way = (-way[0], -way[1])
    return math.degrees(math.atan2(-way[1], way[0]))


def turn(opening, radius):
    low, high = 0.0, 179.0
    for _ in range(200):
        middle = (low + high) / 2
        moved = turned(rotation(middle), (radius, 0.0))
        if math.hypot(moved[0] - radius, moved[1]) < opening:
            low = middle
        else:
            high = middle
    return low


def shift(error, degrees):
    """One point turned about the origin and about an axis beside it."""
    matrix = rotation(degrees)
    point = (-37.0, 12.5)
    beside = turned(rotation(71.0), (error, 0.0))
    right = turned(matrix, point)
    around = turned(matrix, (point[0] - beside[0], point[1] - beside[1]))
    wrong = (around[0] + beside[0], around[1] + beside[1])
    return math.hypot(right[0] - wrong[0], right[1] - wrong[1])


def holidays_of(country, years):
    name, _, part = country.partition("-")
    return holidays.country_holidays(name, subdiv=part or None, years=years)


def workday(start, count, countries):
    first = datetime.date.fromisoformat(start) + datetime.timedelta(days=1)
    begin = datetime.datetime.combine(first, datetime.time())
    days = rruleset()
    days.rrule(rrule(DAILY, dtstart=begin, byweekday=(MO, TU, WE, TH, FR)))
    for country in countries.split("+"):
        for day in holidays_of(country, range(first.year, first.year + 2)):
            days.exdate(datetime.datetime.combine(day, datetime.time()))
    for place, day in enumerate(days, 1):
        if place == count:
            return day.date().isoformat()


WEEK = (MO, TU, WE, TH, FR, SA, SU)


@functools.cache
def weekdays(closed):
    begin, end = datetime.datetime(2026, 12, 1), datetime.datetime(2029, 5, 31)
    open_ones = [WEEK[day] for day in range(7) if day not in closed]
    return [day.date().toordinal() for day in rrule(DAILY, dtstart=begin, until=end, byweekday=open_ones)]


def open_days(houses, rests=()):
    """The days on which all of these houses are open, in order, as numbers."""
    closed = {datetime.date.fromisoformat(day).toordinal() for _, days in houses for day in days}
    days = weekdays(frozenset(day for weekdays, _ in houses for day in weekdays))
    return [day for day in days if day not in closed and not any(begin <= day < end for begin, end in rests)]


def later(days, day, count):
    """So many of these days after this one; with none, the first from it on."""
    place = bisect.bisect_left(days, day) if count == 0 else bisect.bisect_right(days, day) + count - 1
    return days[place]


def count_between(days, one, other):
    low, high = sorted((one, other))
    inside = bisect.bisect_right(days, high) - bisect.bisect_right(days, low)
    return inside if one <= other else -inside


def counts_for(days, house, day, minutes):
    """The day that something counts for which comes at this time: the next one after the hour of the house."""
    return later(days, day, 1 if house[2] is not None and minutes > house[2] else 0)


def plan(job):
    number = lambda text: datetime.date.fromisoformat(text).toordinal()
    office, lab = job["office"], job["lab"]
    of_office, of_lab, both = open_days([office[:2]]), open_days([lab[:2]]), open_days([office[:2], lab[:2]])
    today, wanted, insertion = number(job["today"]), number(job["wanted"]), number(job["insertion"])
    rests = [tuple(map(number, job["rest"]))] if job["came"] else []
    work = open_days([lab[:2]], rests)
    lab_today = counts_for(of_lab, lab, today, job["now"])
    if job["came"]:
        ends = [counts_for(of_lab, lab, number(job["came"]), job["came_at"])]
    else:
        ends = [later(both, counts_for(of_office, office, today, job["now"]), job["there"])]
    done, last_done = job["done"], number(job["done_on"])
    if done:
        ends = [min(ends[0], last_done)]
    for place, days in enumerate(job["days"]):
        end = later(work, ends[-1], days)
        if place < done:
            end = last_done if place + 1 == done else min(end, last_done)
        ends.append(end)
    ready = ends[-1]
    if job["came"]:
        if ready < lab_today and done < len(job["days"]):
            ends[-1] = later(work, lab_today, 0)
        ready = max(ends[-1], lab_today)
    ends.append(later(both, ready, job["back"]))

    def arrives(day, steps):
        for days in steps:
            day = later(of_lab, day, days)
        return later(both, day, job["back"])

    def last(days, in_time):
        place = bisect.bisect_right(days, wanted) - 1
        while not in_time(days[place]):
            place -= 1
        return days[place]

    latest = [last(both, lambda day: arrives(day, job["days"]) <= wanted)]
    for place in range(len(job["days"])):
        rest = job["days"][place + 1:]
        latest.append(last(of_lab, lambda day: arrives(day, rest) <= wanted))
    latest.append(last(both, lambda day: True))
    send_by = last(of_office, lambda day: arrives(later(both, day, job["there"]), job["days"]) <= wanted)
    calendars = [both] + [of_lab] * len(job["days"]) + [both]
    spare = [count_between(days, *pair) for days, *pair in zip(calendars, ends, latest)]
    show = lambda day: datetime.date.fromordinal(day).isoformat()
    is_open = insertion in of_office and insertion + 1 in of_office
    here, following = ends[-1], set(of_office)
    moves = next((day for day in of_office if day >= here and day + 1 in following), None)
    return json.dumps([
        [show(day) for day in ends], [show(day) for day in latest], spare, show(send_by),
        count_between(of_office, ends[-1], insertion), show(insertion + 1) if is_open else "closed",
        show(moves) if moves is not None else "never",
    ], separators=(",", ":"))


def calendar_file(content):
    events = icalendar.Calendar.from_ical(content.decode("utf-8")).walk("VEVENT")
    return json.dumps([
        [str(one["UID"]), one["DTSTART"].dt.isoformat(), str(one["SUMMARY"]), one["DTSTAMP"].dt.isoformat(), one["SEQUENCE"], one.get("STATUS")]
        for one in events
    ], separators=(",", ":"), ensure_ascii=False)


def calendar_itself(content):
    one = icalendar.Calendar.from_ical(content.decode("utf-8"))
    every = one["REFRESH-INTERVAL"]
    every = getattr(every, "dt", None) or icalendar.vDuration.from_ical(str(every))
    said = [str(one[key]) for key in ("VERSION", "NAME", "DESCRIPTION")]
    return json.dumps([*said, int(every.total_seconds())], separators=(",", ":"), ensure_ascii=False)


def quartiles(values):
    return " ".join(repr(float(value)) for value in numpy.quantile(values, [0, 0.25, 0.5, 0.75, 1], method="linear"))


def wilson(part, whole):
    found = scipy.stats.binomtest(part, whole).proportion_ci(0.95, method="wilson")
    return f"{float(found.low)!r} {float(found.high)!r}"


def beyond(off, within, plus_minus):
    deviation = plus_minus / scipy.stats.norm.ppf(0.975)
    return repr(float(scipy.stats.norm.sf((within - off) / deviation)))


def rows(content):
    reader = csv.reader(io.StringIO(content.decode("utf-8"), newline=""), strict=True)
    return json.dumps(list(reader), separators=(",", ":"), ensure_ascii=False)


def figures():
    signs = range(sys.maxunicode + 1)
    values = [(sign, unicodedata.decimal(chr(sign))) for sign in signs if unicodedata.category(chr(sign)) == "Nd"]
    ranges = []
    for sign in (sign for sign in signs if unicodedata.category(chr(sign)) == "Cn"):
        if ranges and ranges[-1][1] == sign - 1:
            ranges[-1][1] = sign
        else:
            ranges.append([sign, sign])
    return json.dumps(values) + "\n" + json.dumps(ranges)


def picture(kept, sent):
    with Image.open(kept) as one, Image.open(sent) as other:
        one.load()
        # What every JPEG says of its density is no word about anybody.
        beside = sorted(set(one.info) - {"jfif", "jfif_version", "jfif_unit", "jfif_density"})
        upright = ImageOps.exif_transpose(other).convert("RGB").resize(one.size)
        apart = max(ImageStat.Stat(ImageChops.difference(one, upright)).mean)
        return f"{one.format} {one.mode} {one.width}x{one.height} {len(one.getexif())} {','.join(beside) or '-'} {apart:.2f}"


def scans(folder):
    # No sphere and no box: turned or mirrored it is another one, and no coordinate is a round number.
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=25)
    mesh.apply_transform(numpy.array([[1.3, 0.1, 0, 7.7], [0, 1, 0.2, -3.3], [0, 0, 0.5, 1.1], [0, 0, 0, 1]]))
    mesh.metadata["name"] = "Quartermain"
    forms = {
        "binary.stl": {"file_type": "stl"},
        "text.stl": {"file_type": "stl_ascii"},
        "binary.ply": {"file_type": "ply"},
        "text.ply": {"file_type": "ply", "encoding": "ascii"},
        "one.obj": {"file_type": "obj"},
        "one.3mf": {"file_type": "3mf"},
    }
    for name, how in forms.items():
        written = mesh.export(**how)
        with open(f"{folder}/{name}", "wb") as file:
            file.write(written.encode() if isinstance(written, str) else written)
    return str(len(forms))


def surface(path):
    mesh = trimesh.load(path, file_type=path.rsplit(".", 1)[1], process=False, force="mesh")
    # Points of their own, as STL has them, are put together before a volume is asked for.
    mesh.merge_vertices()
    numbers = [*mesh.extents, mesh.area, mesh.volume]
    return " ".join([str(len(mesh.faces))] + [repr(float(number)) for number in numbers])


def colour(numbers):
    # Both colours are given in the space in which they are compared, so that nothing is converted.
    one, other = Color("lab-d65", numbers[:3]), Color("lab-d65", numbers[3:])
    return f"{one.delta_e(other, method='2000')!r} {one.delta_e(other, method='76', space='lab-d65')!r}"


def answer(line):
    kind, *rest = line.split()
    if kind == "check":
        return mod_37_2.calc_check_digit(rest[0])
    if kind == "path":
        return repr(path(*rest[:2], *(float(number) for number in rest[2:])))
    if kind == "closed":
        return " ".join(day.isoformat() for day in sorted(holidays_of(rest[0], int(rest[1]))))
    if kind == "workday":
        return workday(rest[0], int(rest[1]), rest[2])
    if kind == "ics":
        return calendar_file(bytes.fromhex(rest[0]))
    if kind == "calendar":
        return calendar_itself(bytes.fromhex(rest[0]))
    if kind == "quartiles":
        return quartiles([float(value) for value in rest])
    if kind == "wilson":
        return wilson(int(rest[0]), int(rest[1]))
    if kind == "figures":
        return figures()
    if kind == "csv":
        return rows(bytes.fromhex(rest[0]))
    if kind == "picture":
        return picture(*rest)
    if kind == "scans":
        return scans(*rest)
    if kind == "surface":
        return surface(*rest)
    if kind == "plan":
        return plan(json.loads(rest[0]))
    numbers = [float(number) for number in rest]
    if kind == "beyond":
        return beyond(*numbers)
    if kind == "turn":
        return repr(turn(*numbers))
    if kind == "shift":
        return repr(shift(*numbers))
    return colour(numbers)


with open(sys.argv[1], encoding="ascii") as questions:
    for line in questions:
        print(answer(line))
