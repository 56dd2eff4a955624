-- What a store of version 1 held: invented data of Harrow Lane Wax.
INSERT INTO waxes VALUES (1, 'HARROW SOY', 'Harrow Soy', 1.441, 0.903, 9.5, 'total', 7.25, 85, 65, 57, 2.5, 3, 48);
INSERT INTO dyes VALUES (1, 'BRACKEN', 'Bracken', 'chip', 0.19, 12, 0.31, 'B-07/25'), (2, 'SLATE', 'Slate', 'liquid', 0.031, 0, 0, 'S 1');
INSERT INTO moulds VALUES (1, 'SIX-CUP TRAY', 'Six-cup tray', 6, 14.5);
-- sha256 of "bytes of old.jpg", by sha256sum (FIPS 180-4).
INSERT INTO photos VALUES (1, '503b3a770a679c25a1b1e4cf2287b37de97bd7cb2dbb257da05c865b9bb9bc84', 'old.jpg', 16, 'wax Harrow Soy', 1, '2025-03-04T12:30:45.123456789Z');
INSERT INTO swatches VALUES
  (4, 1, 1, 1, 'set', 0, 94.5, 0.25, 7.5, 0.04, 0.003, -0.002, 0.09, 0.011, 0.16, 96, 0.5, -0.25, 120, 0.01, '[]'),
  (6, 1, 1, 2, 'liquid', 1, 70.5, 9.75, 11.5, 0.04, 0.003, -0.002, 0.09, 0.011, 0.16, 96, 0.5, -0.25, 130, 0.02, '["edge wet"]');
INSERT INTO swatch_parts VALUES (6, 1, 0.5), (6, 2, 0.125);
