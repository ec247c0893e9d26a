"""A row of outlines: views, sides, panel, points.

Side views are given for the left, front to the left; the view from above, front to the left, and
the views from front and rear are given from the middle outward. A later row lies over an earlier
one. How a row becomes outlines: "both" is mirrored into a left and a right panel, "left" and
"right" stand on one side only, "mid" is half of a panel that crosses the middle.
"""

Row = tuple[str, str, str, str]
