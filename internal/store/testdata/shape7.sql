-- What a store of version 7 held besides.
UPDATE swatches SET mass_g = 0.45 WHERE id = 6;
