-- PostGIS on the bench's scene. In: works.tsv (id, WKT), trees.tsv (id, x, y, r) in the current folder; out: percent.tsv, and
-- the
-- milliseconds of the query by \timing, the backend's processor time before and after. The index is made once and not counted; circles, join, intersections, unions
-- and areas are. One thread.
\set ON_ERROR_STOP on
\set QUIET on
SET max_parallel_workers_per_gather = 0;
CREATE TABLE IF NOT EXISTS works (id integer, geom geometry(Polygon));
CREATE TABLE IF NOT EXISTS trees (id integer, x float8, y float8, r float8);
SELECT NOT EXISTS (SELECT FROM works) AS empty \gset
\if :empty
\copy works FROM 'works.tsv'
\copy trees FROM 'trees.tsv'
CREATE INDEX works_geom ON works USING gist (geom);
ANALYZE;
\endif
\t on
\a
SELECT 'before ' || pg_read_file('/proc/self/stat');
\timing on
-- 16 segments a quarter are 64 sides; the radius is scaled so that their area is the circle's
CREATE TEMP TABLE percents AS
  WITH zones AS MATERIALIZED (
    SELECT id, r, ST_Buffer(ST_MakePoint(x, y), r * sqrt(2 * pi() / 64 / sin(2 * pi() / 64)), 'quad_segs=16') AS zone
    FROM trees
  )
  SELECT t.id, ST_Area(ST_Union(ST_Intersection(t.zone, w.geom))) / (pi() * t.r * t.r) * 100 AS percent
  FROM zones t JOIN works w ON ST_Intersects(t.zone, w.geom)
  GROUP BY t.id, t.r;
\timing off
SELECT 'after ' || pg_read_file('/proc/self/stat');
\copy percents TO 'percent.tsv'
SELECT 'version ' || postgis_lib_version() || ', GEOS ' || postgis_geos_version();
