-- The shelf, and the swatches with the photographs they were read from.
-- Columns carry their units. name_key is the name folded over case.

CREATE TABLE waxes (
  id                   INTEGER PRIMARY KEY,
  name_key             TEXT NOT NULL UNIQUE,
  name                 TEXT NOT NULL,
  refractive_index     REAL NOT NULL,
  density_g_per_ml     REAL NOT NULL,
  max_load_percent     REAL NOT NULL,
  max_load_per         TEXT NOT NULL CHECK (max_load_per IN ('', 'wax', 'total')),
  price_per_kg         REAL NOT NULL,
  heat_to_c            REAL NOT NULL,
  add_fragrance_at_c   REAL NOT NULL,
  pour_at_c            REAL NOT NULL,
  stir_minutes         REAL NOT NULL,
  set_hours            REAL NOT NULL,
  cure_hours           REAL NOT NULL
) STRICT;

CREATE TABLE dyes (
  id                   INTEGER PRIMARY KEY,
  name_key             TEXT NOT NULL UNIQUE,
  name                 TEXT NOT NULL,
  form                 TEXT NOT NULL CHECK (form IN ('chip', 'liquid', 'powder', 'pigment', 'mica')),
  unit_mass_g          REAL NOT NULL,
  max_dose_g_per_kg    REAL NOT NULL,
  price_per_g          REAL NOT NULL,
  lot                  TEXT NOT NULL
) STRICT;

CREATE TABLE moulds (
  id                   INTEGER PRIMARY KEY,
  name_key             TEXT NOT NULL UNIQUE,
  name                 TEXT NOT NULL,
  cavities             INTEGER NOT NULL,
  cavity_ml            REAL NOT NULL
) STRICT;

-- The bytes of a photograph are a file named by its hash. plan_text is the plan
-- as the maker wrote it; the doses of swatch_parts were worked out from it with
-- the unit masses of that day. recorded_at is RFC 3339 in UTC.
CREATE TABLE photos (
  id                   INTEGER PRIMARY KEY,
  sha256               TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64),
  name                 TEXT NOT NULL,
  byte_count           INTEGER NOT NULL,
  plan_text            TEXT NOT NULL,
  reader               INTEGER NOT NULL,
  recorded_at          TEXT NOT NULL
) STRICT;

-- AUTOINCREMENT: the number of a removed swatch is never given again, since a
-- maker may have written it on a jar.
CREATE TABLE swatches (
  id                   INTEGER PRIMARY KEY AUTOINCREMENT,
  wax_id               INTEGER NOT NULL REFERENCES waxes (id),
  photo_id             INTEGER NOT NULL REFERENCES photos (id),
  drop_number          INTEGER NOT NULL CHECK (drop_number >= 1),
  state                TEXT NOT NULL CHECK (state IN ('liquid', 'set')),
  kept_for_check       INTEGER NOT NULL CHECK (kept_for_check IN (0, 1)),
  lab_l                REAL NOT NULL,
  lab_a                REAL NOT NULL,
  lab_b                REAL NOT NULL,
  cov_ll               REAL NOT NULL,
  cov_la               REAL NOT NULL,
  cov_lb               REAL NOT NULL,
  cov_aa               REAL NOT NULL,
  cov_ab               REAL NOT NULL,
  cov_bb               REAL NOT NULL,
  card_l               REAL NOT NULL,
  card_a               REAL NOT NULL,
  card_b               REAL NOT NULL,
  area_px              INTEGER NOT NULL,
  area_share           REAL NOT NULL,
  notes                TEXT NOT NULL CHECK (json_valid(notes)),
  UNIQUE (photo_id, drop_number)
) STRICT;

CREATE INDEX swatches_by_wax ON swatches (wax_id, state);

-- Undyed wax has no parts.
CREATE TABLE swatch_parts (
  swatch_id            INTEGER NOT NULL REFERENCES swatches (id) ON DELETE CASCADE,
  dye_id               INTEGER NOT NULL REFERENCES dyes (id),
  dose_g_per_kg        REAL NOT NULL CHECK (dose_g_per_kg > 0),
  PRIMARY KEY (swatch_id, dye_id)
) STRICT, WITHOUT ROWID;

CREATE INDEX swatch_parts_by_dye ON swatch_parts (dye_id);
