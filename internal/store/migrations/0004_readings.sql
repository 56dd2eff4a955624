-- What the photo reader saw beside the colour of each drop, and what the colours
-- of a photograph were set right by.

-- A thick piece shows no card. over_black_* are those of the part of a drop over
-- the printed black bar, bar_* the bare bar; each group is null together.
-- diameter_mm is 0 where not known.
ALTER TABLE swatches ADD COLUMN thick INTEGER NOT NULL DEFAULT 0 CHECK (thick IN (0, 1));
ALTER TABLE swatches ADD COLUMN over_black_l REAL;
ALTER TABLE swatches ADD COLUMN over_black_a REAL;
ALTER TABLE swatches ADD COLUMN over_black_b REAL;
ALTER TABLE swatches ADD COLUMN over_black_cov_ll REAL;
ALTER TABLE swatches ADD COLUMN over_black_cov_la REAL;
ALTER TABLE swatches ADD COLUMN over_black_cov_lb REAL;
ALTER TABLE swatches ADD COLUMN over_black_cov_aa REAL;
ALTER TABLE swatches ADD COLUMN over_black_cov_ab REAL;
ALTER TABLE swatches ADD COLUMN over_black_cov_bb REAL;
ALTER TABLE swatches ADD COLUMN bar_l REAL;
ALTER TABLE swatches ADD COLUMN bar_a REAL;
ALTER TABLE swatches ADD COLUMN bar_b REAL;
ALTER TABLE swatches ADD COLUMN diameter_mm REAL NOT NULL DEFAULT 0;

-- correction_kind is '' for a photograph read before corrections were kept.
-- print is the printed card as the reader decodes it, such as "A5 1"; '' for a
-- plain one. patches are its strip as measured, before any correction, and chart the
-- published colours of a chart that lay beside the card: arrays of [L*, a*, b*]
-- under D65, with null for a patch that could not be read.
ALTER TABLE photos ADD COLUMN correction_kind TEXT NOT NULL DEFAULT '';
ALTER TABLE photos ADD COLUMN correction_model TEXT NOT NULL DEFAULT '';
ALTER TABLE photos ADD COLUMN correction_patches INTEGER NOT NULL DEFAULT 0;
ALTER TABLE photos ADD COLUMN correction_median_de00 REAL NOT NULL DEFAULT 0;
ALTER TABLE photos ADD COLUMN correction_worst_de00 REAL NOT NULL DEFAULT 0;
ALTER TABLE photos ADD COLUMN correction_held_out_de00 REAL NOT NULL DEFAULT 0;
ALTER TABLE photos ADD COLUMN light_ratio REAL NOT NULL DEFAULT 0;
ALTER TABLE photos ADD COLUMN tint_shift REAL NOT NULL DEFAULT 0;
ALTER TABLE photos ADD COLUMN noise REAL NOT NULL DEFAULT 0;
ALTER TABLE photos ADD COLUMN edge_px REAL NOT NULL DEFAULT 0;
ALTER TABLE photos ADD COLUMN print TEXT NOT NULL DEFAULT '';
ALTER TABLE photos ADD COLUMN patches TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(patches));
ALTER TABLE photos ADD COLUMN chart TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(chart));

-- The colours that the strip of a print is taken to have. An 'anchor' is the
-- strip as the store's first photograph of the print shows it; name and sha256 are
-- that photograph's, which it outlives. A 'reference' was measured with an
-- instrument; name is the file it came in, and sha256 is ''.
CREATE TABLE strips (
  print                TEXT NOT NULL,
  kind                 TEXT NOT NULL CHECK (kind IN ('anchor', 'reference')),
  patches              TEXT NOT NULL CHECK (json_valid(patches)),
  name                 TEXT NOT NULL,
  sha256               TEXT NOT NULL,
  kept_at              TEXT NOT NULL,
  PRIMARY KEY (print, kind)
) STRICT, WITHOUT ROWID;
