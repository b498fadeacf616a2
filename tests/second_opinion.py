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
"""
import datetime
import math
import sys

import holidays
from coloraide import Color
from dateutil.rrule import DAILY, FR, MO, TH, TU, WE, rrule, rruleset
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
    numbers = [float(number) for number in rest]
    if kind == "turn":
        return repr(turn(*numbers))
    if kind == "shift":
        return repr(shift(*numbers))
    return colour(numbers)


with open(sys.argv[1], encoding="ascii") as questions:
    for line in questions:
        print(answer(line))
