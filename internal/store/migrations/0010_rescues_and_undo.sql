-- A rescue on its way. Each of its steps is the whole course as it then stood, JSON
-- that only workshop reads, so that a step is taken back by removing its row; stock_id
-- is what that step set aside. swatch_id is the drop that was read of the mended batch.
-- begun_at and at are RFC 3339 in UTC.
--
-- AUTOINCREMENT: the number of a removed rescue is never given again, since it may
-- stand on a label.
CREATE TABLE rescues (
  id                   INTEGER PRIMARY KEY AUTOINCREMENT,
  wax_id               INTEGER NOT NULL REFERENCES waxes (id),
  begun_at             TEXT NOT NULL,
  swatch_id            INTEGER REFERENCES swatches (id) ON DELETE SET NULL
) STRICT;

CREATE INDEX rescues_by_wax ON rescues (wax_id);
CREATE INDEX rescues_by_swatch ON rescues (swatch_id);

CREATE TABLE rescue_steps (
  rescue_id            INTEGER NOT NULL REFERENCES rescues (id) ON DELETE CASCADE,
  position             INTEGER NOT NULL CHECK (position >= 1),
  at                   TEXT NOT NULL,
  course               TEXT NOT NULL CHECK (json_valid(course)),
  stock_id             INTEGER REFERENCES stocks (id) ON DELETE SET NULL,
  PRIMARY KEY (rescue_id, position)
) STRICT, WITHOUT ROWID;

CREATE INDEX rescue_steps_by_stock ON rescue_steps (stock_id);

-- The statements that take the last change back, from the last row to the first. noun,
-- name and verb say what was changed, '' where a row has no name that makers know.
-- photo is the hash of a photograph whose file is kept for it.
CREATE TABLE undo (
  seq                  INTEGER PRIMARY KEY,
  noun                 TEXT NOT NULL,
  name                 TEXT NOT NULL,
  verb                 TEXT NOT NULL,
  photo                TEXT,
  sql                  TEXT NOT NULL
) STRICT;
