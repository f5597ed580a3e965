-- The survey file, schema 1. Read core/store/migrations.hpp for how these files are run.
--
-- Numbered files run in order, all in one transaction; PRAGMA user_version then holds the number of the last.
-- PRAGMA application_id is 0x42524F4B, the letters "BROK" (1112690507), in every survey file.
-- A SELECT here must answer 1: SpatiaLite reports failure as a value, not as an error.
-- The name of a CHECK is the sentence a person reads when it fails.
-- A later file that adds columns at the end of a table writes each of its rows once afterwards (see 0002). One that
-- rebuilds a table in any other way sets edit_log.changeset to NULL, because the inverse kept there speaks of the old
-- columns.
--
-- id   row number: never changes, never leaves this file (the spatial index hangs on it)
-- key  a UUID (of a taxon: "checklist:" or "own:" and its name): this is what travels
-- Times end in _utc and are UTC; '' in a text column means that nothing was said.

SELECT InitSpatialMetaData(0, 'NONE');
SELECT InsertEpsgSrid(4326);

CREATE TABLE survey (
  id INTEGER PRIMARY KEY CONSTRAINT "a file holds one survey only" CHECK (id = 1),
  key TEXT NOT NULL UNIQUE CONSTRAINT "a survey needs a key" CHECK (length(key) > 0),
  title TEXT NOT NULL CONSTRAINT "a survey needs a title" CHECK (length(trim(title)) > 0),
  description TEXT NOT NULL DEFAULT '',
  crs TEXT NOT NULL CONSTRAINT "a survey needs a coordinate system, such as EPSG:4326" CHECK (length(crs) > 0),
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;

CREATE TABLE taxon (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a taxon needs a key" CHECK (length(key) > 0),
  name TEXT NOT NULL CONSTRAINT "a taxon needs a name" CHECK (length(trim(name)) > 0),
  rank TEXT NOT NULL CONSTRAINT "the rank of a taxon must be one that the survey file knows" CHECK (rank IN
    ('informal', 'species', 'genus', 'subfamily', 'family', 'superfamily', 'suborder', 'order', 'subclass', 'class',
     'phylum', 'kingdom')),
  parent_id INTEGER REFERENCES taxon (id)
    CONSTRAINT "a taxon cannot be its own parent" CHECK (parent_id <> id),
  listed INTEGER NOT NULL CONSTRAINT "listed is 1 for a taxon of the checklist and 0 for a name of the surveyor's own"
    CHECK (listed IN (0, 1)),
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
CREATE INDEX taxon_parent ON taxon (parent_id);

CREATE TABLE water (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a water needs a key" CHECK (length(key) > 0),
  name TEXT NOT NULL,
  kind TEXT NOT NULL CONSTRAINT "the kind of a water must be one that the survey file knows" CHECK (kind IN
    ('unknown', 'spring', 'stream', 'river', 'ditch', 'canal', 'pond', 'pool', 'lake margin')),
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  geom BLOB,  -- MULTIPOLYGON, may be missing
  CONSTRAINT "the shape of a water must lie within longitudes -180 to 180 and latitudes -90 to 90; look whether longitude and latitude are exchanged or the coordinate system is another one"
    CHECK (geom IS NULL OR (ST_MinX(geom) >= -180 AND ST_MaxX(geom) <= 180 AND ST_MinY(geom) >= -90 AND ST_MaxY(geom) <= 90)),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
SELECT RecoverGeometryColumn('water', 'geom', 4326, 'MULTIPOLYGON', 'XY');
SELECT CreateSpatialIndex('water', 'geom');

CREATE TABLE site (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a site needs a key" CHECK (length(key) > 0),
  code TEXT NOT NULL UNIQUE CONSTRAINT "a site needs a code" CHECK (length(trim(code)) > 0),
  name TEXT NOT NULL DEFAULT '',
  water TEXT NOT NULL DEFAULT '',    -- name of the water, as the surveyor wrote it
  habitat TEXT NOT NULL DEFAULT '',
  kind TEXT NOT NULL CONSTRAINT "the kind of water of a site must be one that the survey file knows" CHECK (kind IN
    ('unknown', 'spring', 'stream', 'river', 'ditch', 'canal', 'pond', 'pool', 'lake margin')),
  status TEXT NOT NULL CONSTRAINT "the status of a site is proposed, active or retired" CHECK (status IN
    ('proposed', 'active', 'retired')),
  accuracy_m REAL CONSTRAINT "the accuracy of a position is in metres, 0 or more and below 1000 km"
    CHECK (accuracy_m >= 0 AND accuracy_m < 1000000),
  raw_x TEXT NOT NULL DEFAULT '',    -- the position as it was written
  raw_y TEXT NOT NULL DEFAULT '',
  raw_crs TEXT NOT NULL DEFAULT '',
  raw_note TEXT NOT NULL DEFAULT '', -- how geom was made from it
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  geom BLOB,  -- POINT; missing for a site known by name only
  CONSTRAINT "the position of a site must lie within longitudes -180 to 180 and latitudes -90 to 90; look whether longitude and latitude are exchanged or the coordinate system is another one"
    CHECK (geom IS NULL OR (ST_X(geom) BETWEEN -180 AND 180 AND ST_Y(geom) BETWEEN -90 AND 90)),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
SELECT RecoverGeometryColumn('site', 'geom', 4326, 'POINT', 'XY');
SELECT CreateSpatialIndex('site', 'geom');

CREATE TABLE visit (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a visit needs a key" CHECK (length(key) > 0),
  site_id INTEGER NOT NULL REFERENCES site (id),
  date TEXT NOT NULL CONSTRAINT "the date of a visit must be a day of the calendar from 1600 on, as in 2024-05-03"
    CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]' AND date IS date(date, '+0 days') AND date >= '1600'),
  minute_of_day INTEGER CONSTRAINT "the time of a visit must lie between 00:00 and 23:59"
    CHECK (minute_of_day BETWEEN 0 AND 1439),   -- local; missing when no time was noted
  utc_offset_min INTEGER CONSTRAINT "the offset of local time from UTC must lie between -14 and +14 hours"
    CHECK (utc_offset_min BETWEEN -840 AND 840),  -- local time = UTC + offset; missing when not noted
  people TEXT NOT NULL DEFAULT '',
  weather TEXT NOT NULL DEFAULT '',
  conditions TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
CREATE INDEX visit_site ON visit (site_id);

CREATE TABLE sample (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a sample needs a key" CHECK (length(key) > 0),
  code TEXT NOT NULL UNIQUE CONSTRAINT "a sample needs a code" CHECK (length(trim(code)) > 0),
  visit_id INTEGER NOT NULL REFERENCES visit (id),
  kind TEXT NOT NULL CONSTRAINT "a sample is routine, a replicate or a blank" CHECK (kind IN
    ('routine', 'replicate', 'blank')),
  protocol TEXT NOT NULL DEFAULT '',
  effort REAL CONSTRAINT "the effort of a sample must be above 0; leave it empty where it was not noted"
    CHECK (effort > 0),
  effort_unit TEXT NOT NULL DEFAULT '',
  mesh_um REAL CONSTRAINT "the mesh of a net must be above 0 micrometres; leave it empty where it was not noted"
    CHECK (mesh_um > 0),
  subsample_share REAL
    CONSTRAINT "the subsample share must lie above 0 and not above 1; 0.25 means that a quarter of the catch was sorted"
    CHECK (subsample_share > 0 AND subsample_share <= 1),
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  UNIQUE (id, visit_id),  -- so that a measurement can name a sample of its own visit only
  CONSTRAINT "an effort needs its unit, such as s, jabs, l or m2" CHECK (effort IS NULL OR length(effort_unit) > 0),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
CREATE INDEX sample_visit ON sample (visit_id);

CREATE TABLE record (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a record needs a key" CHECK (length(key) > 0),
  sample_id INTEGER NOT NULL REFERENCES sample (id),
  taxon_id INTEGER NOT NULL REFERENCES taxon (id),
  name_match TEXT NOT NULL CONSTRAINT "how a name came to its taxon must be said in a word that the survey file knows"
    CHECK (name_match IN ('none', 'accepted', 'synonym', 'common name', 'genus of binomial', 'higher taxon', 'chosen')),
  quantity TEXT NOT NULL CONSTRAINT "a quantity is present, count, class or absent"
    CHECK (quantity IN ('present', 'count', 'class', 'absent')),
  count_min INTEGER,
  count_max INTEGER,
  life_stage TEXT NOT NULL CONSTRAINT "a life stage is unknown, egg, larva, pupa or adult"
    CHECK (life_stage IN ('unknown', 'egg', 'larva', 'pupa', 'adult')),
  certainty REAL CONSTRAINT "the certainty of a name must lie between 0 and 1" CHECK (certainty BETWEEN 0 AND 1),
  verbatim_name TEXT NOT NULL CONSTRAINT "a record keeps the name as it was written; it cannot be empty"
    CHECK (length(trim(verbatim_name)) > 0),
  verbatim_quantity TEXT NOT NULL DEFAULT '',
  class_code TEXT NOT NULL DEFAULT '',
  class_scheme TEXT NOT NULL DEFAULT '',
  qualifier TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "a count is one whole number, 1 or more; an animal looked for and not found is recorded as absent" CHECK (
    quantity <> 'count' OR (count_min IS count_max AND count_min IS NOT NULL AND count_min >= 1)),
  CONSTRAINT "an abundance class needs its code and its lower limit, 1 or more, and no upper limit below that" CHECK (
    quantity <> 'class' OR (length(class_code) > 0 AND count_min IS NOT NULL AND count_min >= 1 AND
                            (count_max IS NULL OR count_max >= count_min))),
  CONSTRAINT "a count of animals is at most 1000000000000" CHECK (
    coalesce(count_min, 0) <= 1000000000000 AND coalesce(count_max, 0) <= 1000000000000),
  CONSTRAINT "a record of presence cannot hold a number; record it as a count" CHECK (
    quantity <> 'present' OR (coalesce(count_min, 1) = 1 AND count_max IS NULL)),
  CONSTRAINT "a record of absence cannot hold a number other than 0" CHECK (
    quantity <> 'absent' OR (coalesce(count_min, 0) = 0 AND coalesce(count_max, 0) = 0)),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
CREATE INDEX record_sample ON record (sample_id);
CREATE INDEX record_taxon ON record (taxon_id);

CREATE TABLE measurement (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a measurement needs a key" CHECK (length(key) > 0),
  visit_id INTEGER NOT NULL REFERENCES visit (id),
  sample_id INTEGER,  -- missing when measured in the water, not in a sample
  quantity TEXT NOT NULL CONSTRAINT "a measurement must say what was measured" CHECK (length(trim(quantity)) > 0),
  unit TEXT NOT NULL DEFAULT '',
  value REAL,  -- with below_detection: the limit, if one was given
  below_detection INTEGER NOT NULL CONSTRAINT "below_detection is 1 or 0" CHECK (below_detection IN (0, 1)),
  verbatim_value TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  FOREIGN KEY (sample_id, visit_id) REFERENCES sample (id, visit_id),
  CONSTRAINT "a measurement needs a value unless it lies below detection; leave out what was not measured"
    CHECK (value IS NOT NULL OR below_detection = 1),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
CREATE INDEX measurement_visit ON measurement (visit_id);
CREATE INDEX measurement_sample ON measurement (sample_id);

CREATE TABLE outfall (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "an outfall needs a key" CHECK (length(key) > 0),
  code TEXT NOT NULL UNIQUE CONSTRAINT "an outfall needs a code" CHECK (length(trim(code)) > 0),
  name TEXT NOT NULL DEFAULT '',
  kind TEXT NOT NULL CONSTRAINT "the kind of an outfall must be one that the survey file knows" CHECK (kind IN
    ('unknown', 'treated sewage', 'storm sewage', 'road drain', 'field drain', 'trade')),
  since TEXT CONSTRAINT "the first day of an outfall must be a day of the calendar from 1600 on, as in 2024-05-03"
    CHECK (since GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]' AND since IS date(since, '+0 days') AND since >= '1600'),
  until TEXT CONSTRAINT "the last day of an outfall must be a day of the calendar from 1600 on, as in 2024-05-03"
    CHECK (until GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]' AND until IS date(until, '+0 days') AND until >= '1600'),
  raw_x TEXT NOT NULL DEFAULT '',
  raw_y TEXT NOT NULL DEFAULT '',
  raw_crs TEXT NOT NULL DEFAULT '',
  raw_note TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  geom BLOB NOT NULL,  -- POINT
  CONSTRAINT "an outfall cannot end before it begins; look whether the two days are exchanged" CHECK (until >= since),
  CONSTRAINT "the position of an outfall must lie within longitudes -180 to 180 and latitudes -90 to 90; look whether longitude and latitude are exchanged or the coordinate system is another one"
    CHECK (ST_X(geom) BETWEEN -180 AND 180 AND ST_Y(geom) BETWEEN -90 AND 90),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
SELECT RecoverGeometryColumn('outfall', 'geom', 4326, 'POINT', 'XY');
SELECT CreateSpatialIndex('outfall', 'geom');

CREATE TABLE reach (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a reach needs a key" CHECK (length(key) > 0),
  name TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  geom BLOB NOT NULL,  -- LINESTRING, drawn downstream
  CONSTRAINT "a reach must lie within longitudes -180 to 180 and latitudes -90 to 90; look whether longitude and latitude are exchanged or the coordinate system is another one"
    CHECK (ST_MinX(geom) >= -180 AND ST_MaxX(geom) <= 180 AND ST_MinY(geom) >= -90 AND ST_MaxY(geom) <= 90),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
SELECT RecoverGeometryColumn('reach', 'geom', 4326, 'LINESTRING', 'XY');
SELECT CreateSpatialIndex('reach', 'geom');

CREATE TABLE catchment (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a catchment needs a key" CHECK (length(key) > 0),
  code TEXT NOT NULL UNIQUE CONSTRAINT "a catchment needs a code" CHECK (length(trim(code)) > 0),
  name TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  geom BLOB NOT NULL,  -- MULTIPOLYGON
  CONSTRAINT "a catchment must lie within longitudes -180 to 180 and latitudes -90 to 90; look whether longitude and latitude are exchanged or the coordinate system is another one"
    CHECK (ST_MinX(geom) >= -180 AND ST_MaxX(geom) <= 180 AND ST_MinY(geom) >= -90 AND ST_MaxY(geom) <= 90),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
SELECT RecoverGeometryColumn('catchment', 'geom', 4326, 'MULTIPOLYGON', 'XY');
SELECT CreateSpatialIndex('catchment', 'geom');

-- What was done to the survey, oldest first. The changeset (SQLite session format) is what was done; its inverse takes
-- the edit back. It is missing where it would have been larger than 64 MiB.
CREATE TABLE edit_log (
  id INTEGER PRIMARY KEY,
  at_utc TEXT NOT NULL CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    at_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z'),
  kind TEXT NOT NULL CONSTRAINT "an edit needs a kind, such as: import sites" CHECK (length(trim(kind)) > 0),
  summary TEXT NOT NULL,
  device TEXT NOT NULL,
  undone_utc TEXT,
  changeset BLOB
) STRICT;
