-- A card is what drops were dripped on; one that is photographed in another light, on
-- another day, or liquid and then set, is still the same.
CREATE TABLE cards (
  id                   INTEGER PRIMARY KEY
) STRICT;

INSERT INTO cards (id) SELECT id FROM photos;

-- with_id is the photograph of the same card and state together with which this one
-- was read: the swatches are that one's, one for each drop. NULL for one that has
-- swatches of its own. light is what the drops mirror, '' where it was not told.
ALTER TABLE photos ADD COLUMN card_id INTEGER REFERENCES cards (id);
ALTER TABLE photos ADD COLUMN with_id INTEGER REFERENCES photos (id);
ALTER TABLE photos ADD COLUMN light TEXT NOT NULL DEFAULT '';

UPDATE photos SET card_id = id;

CREATE INDEX photos_by_card ON photos (card_id);
CREATE INDEX photos_with ON photos (with_id);

-- What the numbers, the anchors and the models were before the photographs were last
-- read again, as JSON, to be brought back.
CREATE TABLE earlier (
  id                   INTEGER PRIMARY KEY CHECK (id = 1),
  kept_at              TEXT NOT NULL,
  contents             TEXT NOT NULL CHECK (json_valid(contents))
) STRICT;
