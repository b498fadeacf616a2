"""Answers the questions of tests/outside.rs with implementations that are not ours.

One question a line in the file named, one answer a line:

    check TEXT               the ISO/IEC 7064 MOD 37-2 check character, by python-stdnum
    colour L a b L a b       CIEDE2000 and CIE76, by coloraide
"""
import sys

from coloraide import Color
from stdnum.iso7064 import mod_37_2


def colour(numbers):
    # Both colours are given in the space in which they are compared, so that nothing is converted.
    one, other = Color("lab-d65", numbers[:3]), Color("lab-d65", numbers[3:])
    return f"{one.delta_e(other, method='2000')!r} {one.delta_e(other, method='76', space='lab-d65')!r}"


def answer(line):
    kind, *rest = line.split()
    if kind == "check":
        return mod_37_2.calc_check_digit(rest[0])
    return colour([float(number) for number in rest])


with open(sys.argv[1], encoding="ascii") as questions:
    for line in questions:
        print(answer(line))
