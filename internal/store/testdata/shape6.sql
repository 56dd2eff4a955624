-- What a store of version 6 held besides.
INSERT INTO strips VALUES ('A5 print 2', 'reference', '[[93,0.5,1]]', 'strip.txt', '', '2025-06-03T08:00:00.000000000Z');
