-- A logbook of format 1, frozen. Invented flights.
PRAGMA application_id = 1179403335;
CREATE TABLE files (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  sha256 TEXT NOT NULL UNIQUE,
  size INTEGER,
  packing TEXT,
  packed BLOB
) STRICT;

CREATE TABLE builds (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  aeroplane TEXT,
  path TEXT,
  hash TEXT,
  text_file INTEGER REFERENCES files(id),
  attachments TEXT
) STRICT;

CREATE TABLE flights (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  day TEXT,
  clock TEXT,
  aeroplane TEXT,
  build INTEGER REFERENCES builds(id),
  place TEXT,
  launch_by TEXT,
  stretch_m REAL,
  throw_speed_m_s REAL,
  nose_up_rad REAL,
  stick_pitch REAL,
  motor_delay_s REAL,
  wind_m_s REAL,
  gust_m_s REAL,
  off_axis_rad REAL,
  temperature_k REAL,
  outcome TEXT,
  launched INTEGER,
  because TEXT,
  duration_s REAL,
  charge_used_c REAL,
  release_speed_m_s REAL,
  top_speed_m_s REAL,
  top_speed_sd_m_s REAL,
  hard_landing INTEGER,
  landing_load_m_s2 REAL,
  note TEXT
) STRICT;

CREATE TABLE logs (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  flight INTEGER REFERENCES flights(id),
  file INTEGER REFERENCES files(id),
  name TEXT,
  kind TEXT,
  note TEXT
) STRICT;

CREATE TABLE readings (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  flight INTEGER REFERENCES flights(id),
  day TEXT,
  quantity TEXT,
  value REAL,
  sd REAL,
  dim TEXT,
  text TEXT,
  how TEXT,
  note TEXT
) STRICT;

PRAGMA user_version = 1;
INSERT INTO files (id, sum, uid, entered, sha256, size, packing, packed)
  VALUES (1, '5a57ba753a40477a', '5d4cdd2a7c0d3b83', '2026-04-01T10:00:01.000000000Z', 'cffb5a8dabd70ef30dc54995ffb2231ea56fdfab4ff1cc805c958a00c0812c25', 34, 'none', x'666c656467653a20310a6165726f706c616e653a207b6e616d653a205772656e7d0a');
INSERT INTO files (id, sum, uid, entered, sha256, size, packing, packed)
  VALUES (2, 'd1b53f84d7086df8', 'f0ddb14dfc4347d7', '2026-04-01T10:00:02.000000000Z', 'd3a1f660618bc14a91dd0cf10c85e0d92ece37bc0c316bd641e5447426442d52', 160, 'gzip', x'1f8b08000000000002ff2ad129e31acc18100000ffff482248faa0000000');
INSERT INTO builds (id, sum, uid, entered, aeroplane, path, hash, text_file)
  VALUES (1, '7d25e885a20b4ed8', '8665b12c291a40f1', '2026-04-01T10:00:03.000000000Z', 'Wren', 'wren.yaml', '90ce7941c29f977f9356d63ab4921d7cf35d84db40b1f0ca8d2273d31bb55616', 1);
INSERT INTO flights (id, sum, uid, entered, day, aeroplane, build, launch_by, stretch_m, wind_m_s, outcome, launched, duration_s, top_speed_m_s, top_speed_sd_m_s)
  VALUES (1, '728646dca39dd2b7', '9ba5b29e3fe038d6', '2026-04-01T10:00:04.000000000Z', '2026-04-01', 'Wren', 1, 'bungee', 9, 3, 'airborne', 1, 372.5, 41.5, 0.5);
INSERT INTO flights (id, sum, uid, entered, day, aeroplane, build, launch_by, stretch_m, outcome, launched, because, note)
  VALUES (2, 'f9060c9cbf6954fe', '752e04c997ff8b0c', '2026-04-01T10:00:05.000000000Z', '2026-04-01', 'Wren', 1, 'bungee', 8.5, 'never-left', 0, 'wet grass', 'Jo''s cord');
INSERT INTO logs (id, sum, uid, entered, flight, file, name)
  VALUES (1, '45428664e02ecd41', 'ef0e72552048068b', '2026-04-01T10:00:06.000000000Z', 1, 2, 'a.csv');
INSERT INTO readings (id, sum, uid, entered, flight, quantity, value, sd, dim, text)
  VALUES (1, '5b65efc3f983b3a4', 'e8cd60e8559af9df', '2026-04-01T10:00:07.000000000Z', 1, 'cell voltage', 3.71, 0.01, 'voltage', '3.71 V');
