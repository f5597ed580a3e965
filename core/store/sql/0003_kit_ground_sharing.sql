-- The survey file, schema 3: photos and background maps, who may be named, what may leave, kit and its cleaning, live
-- samples held, waters with a risk, and the ground between the waters.

-- 'open': may leave as it is; 'blurred': only as the middle of a grid cell; 'withheld': not at all.
ALTER TABLE site ADD COLUMN sharing TEXT NOT NULL DEFAULT 'open'
  CONSTRAINT "the sharing of a site is open, blurred or withheld" CHECK (sharing IN ('open', 'blurred', 'withheld'));

CREATE TABLE photo (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a photo needs a key" CHECK (length(key) > 0),
  site_id INTEGER NOT NULL REFERENCES site (id),
  visit_id INTEGER REFERENCES visit (id),
  file TEXT NOT NULL CONSTRAINT "a photo needs the name of its file" CHECK (length(trim(file)) > 0),  -- from the survey's folder
  caption TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
CREATE INDEX photo_site ON photo (site_id);

-- A background map: the file stays where it is, only its name is kept.
CREATE TABLE layer (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a layer needs a key" CHECK (length(key) > 0),
  title TEXT NOT NULL DEFAULT '',
  file TEXT NOT NULL CONSTRAINT "a layer needs the name of its file" CHECK (length(trim(file)) > 0),
  attribution TEXT NOT NULL DEFAULT '',
  look TEXT NOT NULL CONSTRAINT "a layer is drawn as picture or as hillshade" CHECK (look IN ('picture', 'hillshade')),
  shown INTEGER NOT NULL CONSTRAINT "shown is 1 or 0" CHECK (shown IN (0, 1)),
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;

-- Somebody named in visits, and whether the name may be handed over. Who is not listed did not agree.
CREATE TABLE person (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a person needs a key" CHECK (length(key) > 0),
  name TEXT NOT NULL UNIQUE CONSTRAINT "a person needs a name" CHECK (length(trim(name)) > 0),
  agreed INTEGER NOT NULL CONSTRAINT "agreed is 1 where the person agreed to be named, else 0" CHECK (agreed IN (0, 1)),
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;

-- A taxon (by its name, with all below it) whose records leave only blurred, or not at all.
CREATE TABLE sensitive_taxon (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a sensitive taxon needs a key" CHECK (length(key) > 0),
  name TEXT NOT NULL UNIQUE CONSTRAINT "a sensitive taxon needs a name" CHECK (length(trim(name)) > 0),
  sharing TEXT NOT NULL CONSTRAINT "the sharing of a sensitive taxon is blurred or withheld"
    CHECK (sharing IN ('blurred', 'withheld')),
  cell_m REAL CONSTRAINT "the grid cell of a sensitive taxon has 10 to 1000000 metres" CHECK (cell_m BETWEEN 10 AND 1000000),
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;

-- Nets, boots, trays, vessels. What is used together has one word in kit_set.
CREATE TABLE kit (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "an item of kit needs a key" CHECK (length(key) > 0),
  code TEXT NOT NULL UNIQUE CONSTRAINT "an item of kit needs a code" CHECK (length(trim(code)) > 0),
  name TEXT NOT NULL DEFAULT '',
  kind TEXT NOT NULL CONSTRAINT "the kind of an item of kit must be one that the survey file knows" CHECK (kind IN
    ('other', 'net', 'footwear', 'tray', 'vessel', 'rope', 'boat', 'probe')),
  kit_set TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  retired INTEGER NOT NULL CONSTRAINT "retired is 1 or 0" CHECK (retired IN (0, 1)),
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;

-- An item of kit was in a water. override_reason: why somebody went on in spite of a warning; '' where there was none.
CREATE TABLE kit_use (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a use of kit needs a key" CHECK (length(key) > 0),
  kit_id INTEGER NOT NULL REFERENCES kit (id),
  site_id INTEGER NOT NULL REFERENCES site (id),
  visit_id INTEGER REFERENCES visit (id),
  date TEXT NOT NULL CONSTRAINT "the date of a use must be a day of the calendar from 1600 on, as in 2024-05-03"
    CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]' AND date IS date(date, '+0 days') AND date >= '1600'),
  minute_of_day INTEGER CONSTRAINT "the time of a use must lie between 00:00 and 23:59" CHECK (minute_of_day BETWEEN 0 AND 1439),
  utc_offset_min INTEGER CONSTRAINT "the offset of local time from UTC must lie between -14 and +14 hours"
    CHECK (utc_offset_min BETWEEN -840 AND 840),
  override_reason TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
CREATE INDEX kit_use_kit ON kit_use (kit_id);
CREATE INDEX kit_use_site ON kit_use (site_id);

-- date and minute_of_day: when it was finished. What was not noted is missing, and then proves nothing.
CREATE TABLE cleaning (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a cleaning needs a key" CHECK (length(key) > 0),
  kit_id INTEGER NOT NULL REFERENCES kit (id),
  date TEXT NOT NULL CONSTRAINT "the date of a cleaning must be a day of the calendar from 1600 on, as in 2024-05-03"
    CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]' AND date IS date(date, '+0 days') AND date >= '1600'),
  minute_of_day INTEGER CONSTRAINT "the time of a cleaning must lie between 00:00 and 23:59"
    CHECK (minute_of_day BETWEEN 0 AND 1439),
  utc_offset_min INTEGER CONSTRAINT "the offset of local time from UTC must lie between -14 and +14 hours"
    CHECK (utc_offset_min BETWEEN -840 AND 840),
  agent TEXT NOT NULL CONSTRAINT "a cleaning must say what it was done with, such as hot water, drying or bleach"
    CHECK (length(trim(agent)) > 0),
  concentration_pct REAL CONSTRAINT "a concentration lies above 0 and not above 100 per cent"
    CHECK (concentration_pct > 0 AND concentration_pct <= 100),
  temperature_c REAL CONSTRAINT "the temperature of a cleaning lies between -50 and 200 degrees Celsius"
    CHECK (temperature_c BETWEEN -50 AND 200),
  contact_min REAL CONSTRAINT "a contact time is above 0 minutes; leave it empty where it was not noted"
    CHECK (contact_min > 0 AND contact_min <= 5256000),
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
CREATE INDEX cleaning_kit ON cleaning (kit_id);

-- Live animals or water kept in a vessel away from their water.
CREATE TABLE holding (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a live sample held needs a key" CHECK (length(key) > 0),
  kit_id INTEGER NOT NULL REFERENCES kit (id),
  site_id INTEGER NOT NULL REFERENCES site (id),
  what TEXT NOT NULL DEFAULT '',
  since TEXT NOT NULL CONSTRAINT "the first day of a live sample held must be a day of the calendar from 1600 on"
    CHECK (since GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]' AND since IS date(since, '+0 days') AND since >= '1600'),
  until TEXT CONSTRAINT "the last day of a live sample held must be a day of the calendar from 1600 on"
    CHECK (until GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]' AND until IS date(until, '+0 days') AND until >= '1600'),
  outcome TEXT NOT NULL CONSTRAINT "a live sample is held, returned or disposed of"
    CHECK (outcome IN ('held', 'returned', 'disposed')),
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "a live sample cannot end before it begins; look whether the two days are exchanged" CHECK (until >= since),
  CONSTRAINT "a live sample that is no longer held needs the day on which it ended, and one that is held has none"
    CHECK ((outcome = 'held') = (until IS NULL)),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;

-- A pathogen or an invasive species suspected, confirmed or cleared at a site, and so in the water that it lies on.
CREATE TABLE water_risk (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a risk of a water needs a key" CHECK (length(key) > 0),
  site_id INTEGER NOT NULL REFERENCES site (id),
  target TEXT NOT NULL CONSTRAINT "a risk of a water must say which organism" CHECK (length(trim(target)) > 0),
  status TEXT NOT NULL CONSTRAINT "a risk of a water is suspected, confirmed or cleared"
    CHECK (status IN ('suspected', 'confirmed', 'cleared')),
  since TEXT NOT NULL CONSTRAINT "the first day of a risk must be a day of the calendar from 1600 on, as in 2024-05-03"
    CHECK (since GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]' AND since IS date(since, '+0 days') AND since >= '1600'),
  told_by TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
CREATE INDEX water_risk_site ON water_risk (site_id);

-- The ground between the waters: where not to go, where to keep away from, where to come from.
-- 'refused': a spot that was suggested and refused, with the reason in its note.
CREATE TABLE ground (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE CONSTRAINT "a piece of ground needs a key" CHECK (length(key) > 0),
  name TEXT NOT NULL DEFAULT '',
  kind TEXT NOT NULL CONSTRAINT "the kind of a piece of ground is private, unsafe, road, bridge, access or refused"
    CHECK (kind IN ('private', 'unsafe', 'road', 'bridge', 'access', 'refused')),
  note TEXT NOT NULL DEFAULT '',
  created_utc TEXT NOT NULL,
  changed_utc TEXT NOT NULL,
  device TEXT NOT NULL,
  geom BLOB NOT NULL,  -- POINT, LINESTRING or MULTIPOLYGON
  CONSTRAINT "a piece of ground must lie within longitudes -180 to 180 and latitudes -90 to 90; look whether longitude and latitude are exchanged or the coordinate system is another one"
    CHECK (ST_MinX(geom) >= -180 AND ST_MaxX(geom) <= 180 AND ST_MinY(geom) >= -90 AND ST_MaxY(geom) <= 90),
  CONSTRAINT "edit times are UTC, as in 2024-05-03T08:30:00Z" CHECK (
    created_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z' AND
    changed_utc GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]Z')
) STRICT;
SELECT RecoverGeometryColumn('ground', 'geom', 4326, 'GEOMETRY', 'XY');
SELECT CreateSpatialIndex('ground', 'geom');

-- As in 0002: each row is written once, so that a session has the old value of the added column.
UPDATE site SET sharing = 'open';
