ALTER TABLE factors ADD COLUMN aeroplane TEXT;
ALTER TABLE factors ADD COLUMN lesson TEXT;
ALTER TABLE factors ADD COLUMN together TEXT;
ALTER TABLE factors ADD COLUMN learned_from TEXT;
