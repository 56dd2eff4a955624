-- What a store of version 5 held besides.
INSERT INTO batch_additives VALUES (1, 1, 'Stearin', 2), (1, 2, 'Hardener', 0.5);
INSERT INTO stocks VALUES (3, 1, 250.5, 8, 'total', 'jar on the left', '2025-06-02T08:00:00.000000000Z');
INSERT INTO stock_parts VALUES (3, 2, 0.75);
INSERT INTO stock_additives VALUES (3, 1, 'Stearin', 2);
