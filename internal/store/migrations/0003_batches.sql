-- The log of what was poured. A batch is one melt in one or more colours, each a
-- pot with its own recipe as it was measured out. portion is what its portions
-- count, piece or scoop. poured_at is RFC 3339 in UTC.
--
-- AUTOINCREMENT: the number of a removed batch is never given again, since it
-- may stand on a label.
CREATE TABLE batches (
  id                   INTEGER PRIMARY KEY AUTOINCREMENT,
  wax_id               INTEGER NOT NULL REFERENCES waxes (id),
  poured_at            TEXT NOT NULL,
  portion              TEXT NOT NULL CHECK (portion IN ('piece', 'scoop')),
  notes                TEXT NOT NULL CHECK (json_valid(notes))
) STRICT;

CREATE INDEX batches_by_wax ON batches (wax_id);

-- made_of is a wax, a dye, or what else has a lot, such as fragrance or wicks,
-- by its name of that day.
CREATE TABLE batch_lots (
  batch_id             INTEGER NOT NULL REFERENCES batches (id) ON DELETE CASCADE,
  made_of              TEXT NOT NULL,
  lot                  TEXT NOT NULL,
  PRIMARY KEY (batch_id, made_of)
) STRICT, WITHOUT ROWID;

-- The promise is the shade predicted on the day: of a finished piece, and of a
-- test drop on usual white card. Its columns are null together, where nothing
-- had been learned. The swatch is the drop of it that was read afterwards.
CREATE TABLE batch_colours (
  id                   INTEGER PRIMARY KEY,
  batch_id             INTEGER NOT NULL REFERENCES batches (id) ON DELETE CASCADE,
  position             INTEGER NOT NULL CHECK (position >= 1),
  name                 TEXT NOT NULL,
  portions             REAL NOT NULL,
  undyed_g             REAL NOT NULL CHECK (undyed_g > 0),
  load_percent         REAL NOT NULL,
  load_per             TEXT NOT NULL CHECK (load_per IN ('wax', 'total')),
  piece_l              REAL,
  piece_a              REAL,
  piece_b              REAL,
  piece_within_95      REAL,
  drop_l               REAL,
  drop_a               REAL,
  drop_b               REAL,
  drop_within_95       REAL,
  swatch_id            INTEGER REFERENCES swatches (id) ON DELETE SET NULL,
  UNIQUE (batch_id, position)
) STRICT;

CREATE INDEX batch_colours_by_swatch ON batch_colours (swatch_id);

-- Undyed wax has no parts.
CREATE TABLE batch_parts (
  colour_id            INTEGER NOT NULL REFERENCES batch_colours (id) ON DELETE CASCADE,
  dye_id               INTEGER NOT NULL REFERENCES dyes (id),
  dose_g_per_kg        REAL NOT NULL CHECK (dose_g_per_kg > 0),
  PRIMARY KEY (colour_id, dye_id)
) STRICT, WITHOUT ROWID;

CREATE INDEX batch_parts_by_dye ON batch_parts (dye_id);
