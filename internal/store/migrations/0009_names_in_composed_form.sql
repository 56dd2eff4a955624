-- Names are kept in the composed form of Unicode, without characters that show
-- nothing, and name_key is that of the composed form: "Café" is one name however it was
-- typed. Names that are one by that are kept apart by a dot and the row's number. What
-- was learned has dyes by name too; it is learned anew where one was renamed.
UPDATE waxes SET name = plain(name), name_key = 'waxes ' || id;
UPDATE dyes SET name = plain(name), name_key = 'dyes ' || id;
UPDATE moulds SET name = plain(name), name_key = 'moulds ' || id;
UPDATE waxes SET name = name || ' · ' || waxes.id FROM
  (SELECT id, row_number() OVER (PARTITION BY folded(name) ORDER BY id) AS nth FROM waxes) AS alike
  WHERE alike.id = waxes.id AND nth > 1;
UPDATE dyes SET name = name || ' · ' || dyes.id FROM
  (SELECT id, row_number() OVER (PARTITION BY folded(name) ORDER BY id) AS nth FROM dyes) AS alike
  WHERE alike.id = dyes.id AND nth > 1;
UPDATE moulds SET name = name || ' · ' || moulds.id FROM
  (SELECT id, row_number() OVER (PARTITION BY folded(name) ORDER BY id) AS nth FROM moulds) AS alike
  WHERE alike.id = moulds.id AND nth > 1;
UPDATE waxes SET name_key = folded(name);
UPDATE dyes SET name_key = folded(name);
UPDATE moulds SET name_key = folded(name);
UPDATE learned SET model = plain(model);
DELETE FROM learned WHERE EXISTS (SELECT 1 FROM dyes WHERE name LIKE '% · ' || id);
UPDATE earlier SET contents = plain(contents);
DELETE FROM earlier WHERE EXISTS (SELECT 1 FROM dyes WHERE name LIKE '% · ' || id);
