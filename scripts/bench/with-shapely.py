# Shapely 2, vectorised, on the bench's scene. In: a folder with trees.f64 (x, y, r), rings.u32 (first vertex of each ring,
# and the end), xy.f64; out: percent.f64 beside them, wall and processor milliseconds on stdout. Terms: as in peers.mjs.
# Used as its manual shows it used well: polygons and their tree are made once and not counted; circles, the query of the
# tree, intersections, unions and areas are whole-array calls, and counted.
import os
import sys
import time

import numpy as np
import shapely

SIDES = 64
if int(shapely.__version__.split(".")[0]) < 2:
    sys.exit(f"Shapely {shapely.__version__} has no vectorised functions; 2 or later is needed")

folder = sys.argv[1]
read = lambda name, kind: np.fromfile(os.path.join(folder, name), dtype=kind)
trees = read("trees.f64", "<f8").reshape(-1, 3)
starts = read("rings.u32", "<u4").astype(np.int64)
xy = read("xy.f64", "<f8").reshape(-1, 2)
ring_of = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
polygons = shapely.polygons(shapely.linearrings(xy, indices=ring_of))
index = shapely.STRtree(polygons)
index.query(shapely.box(0, 0, 1, 1))  # the tree is built on its first use
scale = np.sqrt(2 * np.pi / SIDES / np.sin(2 * np.pi / SIDES))
angle = 2 * np.pi * np.arange(SIDES) / SIDES
corner = np.stack([np.cos(angle), np.sin(angle)], axis=1)


def percents(trees):
    n = len(trees)
    corners = trees[:, None, :2] + corner[None, :, :] * (trees[:, 2, None, None] * scale)
    circles = shapely.polygons(shapely.linearrings(corners.reshape(-1, 2), indices=np.repeat(np.arange(n), SIDES)))
    tree, polygon = index.query(circles, predicate="intersects")
    order = np.argsort(tree, kind="stable")
    tree, polygon = tree[order], polygon[order]
    parts = shapely.intersection(circles[tree], polygons[polygon])
    area = np.zeros(n)
    several = np.bincount(tree, minlength=n) > 1
    single = ~several[tree]
    area[tree[single]] = shapely.area(parts[single])
    rows, group = np.unique(tree[~single], return_inverse=True)
    if len(rows) > 0:
        together = shapely.geometrycollections(parts[~single], indices=group)
        area[rows] = shapely.area(shapely.union_all(together[:, None], axis=1))
    return area / (np.pi * trees[:, 2] ** 2) * 100


percents(trees[: min(len(trees), 2000)])
start, cpu = time.perf_counter(), time.process_time()
out = percents(trees)
ms, cpu = (time.perf_counter() - start) * 1000, (time.process_time() - cpu) * 1000
out.astype("<f8").tofile(os.path.join(folder, "percent.f64"))
print(f"{ms} {cpu} Shapely {shapely.__version__}, GEOS {shapely.geos_version_string}")
