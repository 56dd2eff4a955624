-- What was last learned of a wax: the model as calibrate writes it. It can be
-- learned again from the swatches at any time.
CREATE TABLE learned (
  wax_id               INTEGER PRIMARY KEY REFERENCES waxes (id) ON DELETE CASCADE,
  model                TEXT NOT NULL CHECK (json_valid(model)),
  learned_at           TEXT NOT NULL
) STRICT;
