-- What a store of version 2 held besides.
INSERT INTO learned VALUES (1, '{"version":1}', '2025-04-01T08:00:00.000000000Z');
