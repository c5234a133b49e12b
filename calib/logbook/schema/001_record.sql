-- The record, version 1.
--
-- Rows are only ever added. A row that corrects, or brings up to date, an
-- earlier one names it in "supersedes"; each row is superseded at most once, so
-- that the versions of a thing form one chain.
--
-- seq    the order of saving in this file; it is not exported
-- id     the identity of the row, the same in every copy of the record
-- digest SHA-256 of the row's line of export, readings included
--
-- Times are UTC, "2026-03-01T08:30:00.000000Z". Numbers that nobody knows are
-- NULL; 0 is a number. Columns in JSON hold {"value": …, "parts": […]}: a
-- number with the named sources of its uncertainty.

CREATE TABLE meter (
  seq         INTEGER PRIMARY KEY,
  id          TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (id <> ''),
  supersedes  TEXT COLLATE NOCASE UNIQUE REFERENCES meter(id) DEFERRABLE INITIALLY DEFERRED,
  recorded_at TEXT NOT NULL CHECK (length(recorded_at) = 27),
  digest      BLOB NOT NULL CHECK (length(digest) = 32),

  meter       TEXT NOT NULL COLLATE NOCASE REFERENCES meter(id) DEFERRABLE INITIALLY DEFERRED,
  quantity    TEXT NOT NULL CHECK (quantity IN ('ec', 'ph', 'temperature', 'humidity', 'oxygen', 'co2', 'other')),
  unit        TEXT,
  ppm_factor  REAL CHECK (ppm_factor > 0),
  resolution  REAL CHECK (resolution > 0),
  range_low   REAL,
  range_high  REAL CHECK (range_high > range_low),
  compensation TEXT CHECK (compensation IN ('linear', 'none', 'natural-water')),
  alpha       REAL,
  ref_temp_C  REAL,
  tolerance   REAL CHECK (tolerance > 0),
  tolerance_relative INTEGER NOT NULL CHECK (tolerance_relative IN (0, 1)),
  note        TEXT,
  retired_at  TEXT
) STRICT;

CREATE INDEX meter_versions ON meter(meter);

CREATE TABLE bottle (
  seq         INTEGER PRIMARY KEY,
  id          TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (id <> ''),
  supersedes  TEXT COLLATE NOCASE UNIQUE REFERENCES bottle(id) DEFERRABLE INITIALLY DEFERRED,
  recorded_at TEXT NOT NULL CHECK (length(recorded_at) = 27),
  digest      BLOB NOT NULL CHECK (length(digest) = 32),

  bottle      TEXT NOT NULL COLLATE NOCASE REFERENCES bottle(id) DEFERRABLE INITIALLY DEFERRED,
  since       TEXT,
  salt        TEXT,
  strength_unit TEXT,
  ppm_factor  REAL CHECK (ppm_factor > 0),
  strength    TEXT CHECK (json_valid(strength)),
  water_ec25_uS_cm TEXT CHECK (json_valid(water_ec25_uS_cm)),
  buffer      TEXT,
  deviation   TEXT CHECK (json_valid(deviation)),
  made_on     TEXT,
  best_before TEXT,
  content_g   REAL CHECK (content_g > 0),
  full_g      REAL CHECK (full_g > 0),
  empty_g     REAL CHECK (empty_g > 0),
  u_weighing_g REAL CHECK (u_weighing_g >= 0),
  weighing    TEXT,
  made        TEXT CHECK (json_valid(made)),
  note        TEXT,
  CHECK ((salt IS NULL) <> (buffer IS NULL)),
  CHECK ((salt IS NULL) = (strength IS NULL))
) STRICT;

CREATE INDEX bottle_versions ON bottle(bottle);

CREATE TABLE calibration (
  seq         INTEGER PRIMARY KEY,
  id          TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (id <> ''),
  supersedes  TEXT COLLATE NOCASE UNIQUE REFERENCES calibration(id) DEFERRABLE INITIALLY DEFERRED,
  recorded_at TEXT NOT NULL CHECK (length(recorded_at) = 27),
  digest      BLOB NOT NULL CHECK (length(digest) = 32),

  meter       TEXT NOT NULL COLLATE NOCASE REFERENCES meter(id) DEFERRABLE INITIALLY DEFERRED,
  time        TEXT NOT NULL CHECK (length(time) = 27),
  state       TEXT NOT NULL CHECK (state IN ('as-found', 'as-left')),
  quantity    TEXT NOT NULL,
  unit        TEXT,
  method      TEXT NOT NULL,
  n           INTEGER NOT NULL CHECK (n >= 1),
  dof         INTEGER NOT NULL CHECK (dof >= 0),
  intercept   REAL NOT NULL,
  slope       REAL NOT NULL,
  u_intercept REAL CHECK (u_intercept >= 0),
  u_slope     REAL CHECK (u_slope >= 0),
  cov         REAL,
  u_basis     TEXT NOT NULL,
  reading_low REAL NOT NULL,
  reading_high REAL NOT NULL CHECK (reading_high >= reading_low),
  verdict     TEXT CHECK (verdict IN ('pass', 'fail', 'undecided')),
  note        TEXT,
  result      TEXT NOT NULL CHECK (json_valid(result))
) STRICT;

CREATE INDEX calibration_by_meter ON calibration(meter, time);

CREATE TABLE reading (
  calibration INTEGER NOT NULL REFERENCES calibration(seq) DEFERRABLE INITIALLY DEFERRED,
  n           INTEGER NOT NULL CHECK (n >= 1),
  ref         REAL NOT NULL,
  reading     REAL NOT NULL,
  u_ref       REAL CHECK (u_ref >= 0),
  ref_source  TEXT,
  u_ref_shared REAL CHECK (u_ref_shared >= 0),
  u_reading   REAL CHECK (u_reading >= 0),
  temp_C      REAL CHECK (temp_C >= -273.15),
  bottle      TEXT,
  bottle_id   TEXT COLLATE NOCASE REFERENCES bottle(id) DEFERRABLE INITIALLY DEFERRED,
  ref_parts   TEXT CHECK (json_valid(ref_parts)),
  time        TEXT,
  mv          REAL,
  PRIMARY KEY (calibration, n)
) STRICT, WITHOUT ROWID;

CREATE INDEX reading_by_bottle ON reading(bottle_id) WHERE bottle_id IS NOT NULL;

CREATE TABLE comparison (
  seq         INTEGER PRIMARY KEY,
  id          TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (id <> ''),
  supersedes  TEXT COLLATE NOCASE UNIQUE REFERENCES comparison(id) DEFERRABLE INITIALLY DEFERRED,
  recorded_at TEXT NOT NULL CHECK (length(recorded_at) = 27),
  digest      BLOB NOT NULL CHECK (length(digest) = 32),

  time        TEXT NOT NULL CHECK (length(time) = 27),
  quantity    TEXT NOT NULL,
  tolerance   REAL CHECK (tolerance > 0),
  tolerance_relative INTEGER NOT NULL CHECK (tolerance_relative IN (0, 1)),
  note        TEXT,
  result      TEXT NOT NULL CHECK (json_valid(result))
) STRICT;

CREATE TABLE compared (
  comparison  INTEGER NOT NULL REFERENCES comparison(seq) DEFERRABLE INITIALLY DEFERRED,
  n           INTEGER NOT NULL CHECK (n >= 1),
  meter       TEXT NOT NULL,
  meter_id    TEXT COLLATE NOCASE REFERENCES meter(id) DEFERRABLE INITIALLY DEFERRED,
  sample      TEXT NOT NULL,
  replicate   TEXT,
  reading     REAL NOT NULL,
  u_reading   REAL CHECK (u_reading >= 0),
  ref         REAL,
  u_ref       REAL CHECK (u_ref >= 0),
  ref_source  TEXT,
  u_ref_shared REAL CHECK (u_ref_shared >= 0),
  temp_C      REAL CHECK (temp_C >= -273.15),
  bottle      TEXT,
  bottle_id   TEXT COLLATE NOCASE REFERENCES bottle(id) DEFERRABLE INITIALLY DEFERRED,
  ref_parts   TEXT CHECK (json_valid(ref_parts)),
  time        TEXT,
  PRIMARY KEY (comparison, n)
) STRICT, WITHOUT ROWID;

CREATE INDEX compared_by_meter ON compared(meter_id) WHERE meter_id IS NOT NULL;
CREATE INDEX compared_by_bottle ON compared(bottle_id) WHERE bottle_id IS NOT NULL;

CREATE TABLE event (
  seq         INTEGER PRIMARY KEY,
  id          TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (id <> ''),
  supersedes  TEXT COLLATE NOCASE UNIQUE REFERENCES event(id) DEFERRABLE INITIALLY DEFERRED,
  recorded_at TEXT NOT NULL CHECK (length(recorded_at) = 27),
  digest      BLOB NOT NULL CHECK (length(digest) = 32),

  meter       TEXT NOT NULL COLLATE NOCASE REFERENCES meter(id) DEFERRABLE INITIALLY DEFERRED,
  time        TEXT NOT NULL CHECK (length(time) = 27),
  event       TEXT NOT NULL CHECK (event IN ('adjusted', 'cleaned', 'replaced', 'battery', 'note')),
  note        TEXT
) STRICT;

CREATE INDEX event_by_meter ON event(meter, time);

-- Nothing is changed and nothing deleted.
CREATE TRIGGER meter_keeps BEFORE UPDATE ON meter BEGIN SELECT RAISE(ABORT, 'the record is append-only: a meter is corrected by a row that supersedes it'); END;
CREATE TRIGGER meter_stays BEFORE DELETE ON meter BEGIN SELECT RAISE(ABORT, 'the record is append-only: no meter is deleted'); END;
CREATE TRIGGER bottle_keeps BEFORE UPDATE ON bottle BEGIN SELECT RAISE(ABORT, 'the record is append-only: a bottle is corrected by a row that supersedes it'); END;
CREATE TRIGGER bottle_stays BEFORE DELETE ON bottle BEGIN SELECT RAISE(ABORT, 'the record is append-only: no bottle is deleted'); END;
CREATE TRIGGER calibration_keeps BEFORE UPDATE ON calibration BEGIN SELECT RAISE(ABORT, 'the record is append-only: a calibration is corrected by a row that supersedes it'); END;
CREATE TRIGGER calibration_stays BEFORE DELETE ON calibration BEGIN SELECT RAISE(ABORT, 'the record is append-only: no calibration is deleted'); END;
CREATE TRIGGER reading_keeps BEFORE UPDATE ON reading BEGIN SELECT RAISE(ABORT, 'the record is append-only: a reading is never changed'); END;
CREATE TRIGGER reading_stays BEFORE DELETE ON reading BEGIN SELECT RAISE(ABORT, 'the record is append-only: no reading is deleted'); END;
CREATE TRIGGER comparison_keeps BEFORE UPDATE ON comparison BEGIN SELECT RAISE(ABORT, 'the record is append-only: a comparison is corrected by a row that supersedes it'); END;
CREATE TRIGGER comparison_stays BEFORE DELETE ON comparison BEGIN SELECT RAISE(ABORT, 'the record is append-only: no comparison is deleted'); END;
CREATE TRIGGER compared_keeps BEFORE UPDATE ON compared BEGIN SELECT RAISE(ABORT, 'the record is append-only: a reading is never changed'); END;
CREATE TRIGGER compared_stays BEFORE DELETE ON compared BEGIN SELECT RAISE(ABORT, 'the record is append-only: no reading is deleted'); END;
CREATE TRIGGER event_keeps BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, 'the record is append-only: an event is corrected by a row that supersedes it'); END;
CREATE TRIGGER event_stays BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'the record is append-only: no event is deleted'); END;
