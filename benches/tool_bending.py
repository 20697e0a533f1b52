#!/usr/bin/env python3
"""Bending of a stepped tool by numerical quadrature, to hold the closed form against.

The deflection at the tip is the integral of x^2 / (E I(x)) from tip to holder, times the force
(work of the bending moment, Castigliano). No closed form of the stepped beam is used: the integral is a
sum of 200000 slices by the midpoint rule. The fluted part has the equivalent diameter 0.8 D (Kops and Vo 1990).

Prints one line a case: force N, stick-out, fluted length, shank, diameter (mm), modulus GPa, bending mm.
"""
import math

SLICES = 200_000
CASES = [
    (50.0, 25.0, 15.0, 6.0, 6.0, 600.0),
    (20.0, 20.0, 9.0, 6.0, 3.0, 600.0),
    (60.0, 22.0, 18.0, 6.0, 6.0, 520.0),
    (35.0, 30.0, 40.0, 8.0, 8.0, 200.0),
]


def bending(force, out, fluted, shank, diameter, modulus_gpa):
    width = out / SLICES
    total = 0.0
    for i in range(SLICES):
        x = (i + 0.5) * width
        d = 0.8 * diameter if x < fluted else shank
        total += x * x / (math.pi * d**4 / 64.0) * width
    return force * total / (modulus_gpa * 1000.0)


for case in CASES:
    print(*case, f"{bending(*case):.9f}")
