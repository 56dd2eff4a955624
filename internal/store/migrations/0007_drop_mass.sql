-- What a drop weighs, as its plan says; 0 where not said.
ALTER TABLE swatches ADD COLUMN mass_g REAL NOT NULL DEFAULT 0;
