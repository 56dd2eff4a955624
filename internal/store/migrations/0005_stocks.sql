-- Dyed wax set aside, with its own recipe. undyed_g is the undyed wax in what is
-- left of it; dyes, fragrance and additives follow from their shares.
-- set_aside_at is RFC 3339 in UTC.
--
-- AUTOINCREMENT: the number of a stock that is used up is never given again,
-- since it stands on its label.
CREATE TABLE stocks (
  id                   INTEGER PRIMARY KEY AUTOINCREMENT,
  wax_id               INTEGER NOT NULL REFERENCES waxes (id),
  undyed_g             REAL NOT NULL CHECK (undyed_g > 0),
  load_percent         REAL NOT NULL,
  load_per             TEXT NOT NULL CHECK (load_per IN ('wax', 'total')),
  note                 TEXT NOT NULL,
  set_aside_at         TEXT NOT NULL
) STRICT;

CREATE INDEX stocks_by_wax ON stocks (wax_id);

CREATE TABLE stock_parts (
  stock_id             INTEGER NOT NULL REFERENCES stocks (id) ON DELETE CASCADE,
  dye_id               INTEGER NOT NULL REFERENCES dyes (id),
  dose_g_per_kg        REAL NOT NULL CHECK (dose_g_per_kg > 0),
  PRIMARY KEY (stock_id, dye_id)
) STRICT, WITHOUT ROWID;

CREATE INDEX stock_parts_by_dye ON stock_parts (dye_id);

-- percent is of the undyed wax.
CREATE TABLE stock_additives (
  stock_id             INTEGER NOT NULL REFERENCES stocks (id) ON DELETE CASCADE,
  position             INTEGER NOT NULL CHECK (position >= 1),
  name                 TEXT NOT NULL,
  percent              REAL NOT NULL CHECK (percent > 0),
  PRIMARY KEY (stock_id, position)
) STRICT, WITHOUT ROWID;

-- What else is mixed into a colour of a batch, in percent of its undyed wax.
CREATE TABLE batch_additives (
  colour_id            INTEGER NOT NULL REFERENCES batch_colours (id) ON DELETE CASCADE,
  position             INTEGER NOT NULL CHECK (position >= 1),
  name                 TEXT NOT NULL,
  percent              REAL NOT NULL CHECK (percent > 0),
  PRIMARY KEY (colour_id, position)
) STRICT, WITHOUT ROWID;
