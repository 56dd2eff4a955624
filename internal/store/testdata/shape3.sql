-- What a store of version 3 held besides.
INSERT INTO batches VALUES (2, 1, '2025-05-01T08:00:00.000000000Z', 'piece', '["frosted"]');
INSERT INTO batch_lots VALUES (2, 'Bracken', 'B-07/25');
INSERT INTO batch_colours VALUES (1, 2, 1, 'Dusk', 16, 700, 8, 'wax', 63, 1, 2, 0.5, 64, 1, 2, 0.5, 6);
INSERT INTO batch_parts VALUES (1, 1, 0.5);
