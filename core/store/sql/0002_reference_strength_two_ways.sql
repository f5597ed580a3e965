-- The survey file, schema 2: sites that serve as reference for a type of water, the strength of an outfall, reaches
-- that flow either way, and what was done to a reach when it was brought in.

-- '' where nobody named a type; a reference site has one.
ALTER TABLE site ADD COLUMN type TEXT NOT NULL DEFAULT '';
ALTER TABLE site ADD COLUMN reference INTEGER NOT NULL DEFAULT 0
  CONSTRAINT "a site that serves as reference needs the type of water that it stands for"
  CHECK (reference = 0 OR (reference = 1 AND length(trim(type)) > 0));

-- How much an outfall weighs beside the others, in a measure of the surveyor's own; missing where nobody said.
ALTER TABLE outfall ADD COLUMN strength REAL
  CONSTRAINT "the strength of an outfall must be 0 or more; leave it empty where it is not known"
  CHECK (strength IS NULL OR (strength >= 0 AND strength <= 1e12));

-- 1: a canal or level ditch in which water goes either way; 0: the line is drawn downstream.
ALTER TABLE reach ADD COLUMN two_way INTEGER NOT NULL DEFAULT 0
  CONSTRAINT "two_way is 1 for a reach that flows either way and 0 for one drawn downstream" CHECK (two_way IN (0, 1));
-- What was mended when the line was brought in ("turned: it was drawn against the flow"), or the surveyor's own note.
ALTER TABLE reach ADD COLUMN note TEXT NOT NULL DEFAULT '';

-- SQLite 3.40 gives a session NULL for the old value of an added column until the row has been written again, and such
-- a change could not be taken back. So each row is written once.
UPDATE site SET type = '';
UPDATE outfall SET strength = NULL;
UPDATE reach SET two_way = 0;
