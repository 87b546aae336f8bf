BEGIN TRANSACTION;
CREATE TABLE audit (
	id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	device TEXT DEFAULT '' NOT NULL, 
	who TEXT DEFAULT '' NOT NULL, 
	address TEXT DEFAULT '' NOT NULL, 
	what TEXT NOT NULL, 
	object TEXT DEFAULT '' NOT NULL, 
	"before" TEXT DEFAULT '' NOT NULL, 
	"after" TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
CREATE TABLE entry (
	id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	content TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	way TEXT NOT NULL, 
	sign SMALLINT NOT NULL, 
	month TEXT NOT NULL, 
	day TEXT NOT NULL, 
	happened TEXT DEFAULT '' NOT NULL, 
	recorded TEXT NOT NULL, 
	shop TEXT DEFAULT '' NOT NULL, 
	who TEXT DEFAULT '' NOT NULL, 
	product TEXT DEFAULT '' NOT NULL, 
	edition INTEGER, 
	lot TEXT DEFAULT '' NOT NULL, 
	job TEXT DEFAULT '' NOT NULL, 
	step TEXT DEFAULT '' NOT NULL, 
	operation TEXT DEFAULT '' NOT NULL, 
	container TEXT DEFAULT '' NOT NULL, 
	mass_ug BIGINT, 
	volume_nl BIGINT, 
	density FLOAT, 
	typed TEXT DEFAULT '' NOT NULL, 
	typed_in TEXT DEFAULT '' NOT NULL, 
	basis TEXT DEFAULT '' NOT NULL, 
	area FLOAT, 
	expires TEXT DEFAULT '' NOT NULL, 
	receiver TEXT DEFAULT '' NOT NULL, 
	manifest TEXT DEFAULT '' NOT NULL, 
	note TEXT DEFAULT '' NOT NULL, 
	anyway TEXT DEFAULT '' NOT NULL, 
	against TEXT DEFAULT '' NOT NULL, 
	reverses INTEGER, 
	replaces INTEGER, 
	closes INTEGER, 
	PRIMARY KEY (id), 
	CONSTRAINT kind_known CHECK (kind IN ('receive', 'open', 'use', 'return', 'waste', 'ship', 'weigh')), 
	CONSTRAINT way_known CHECK (way IN ('', 'to stock', 'to supplier', 'from stock', 'from job', 'out', 'count')), 
	CONSTRAINT basis_known CHECK (basis IN ('', 'weighed', 'measured', 'guessed', 'label')), 
	CONSTRAINT sign_fits CHECK (sign = CASE WHEN reverses IS NULL THEN 1 ELSE -1 END), 
	CONSTRAINT amounts_fit_sign CHECK (mass_ug * sign >= 0 AND volume_nl * sign >= 0), 
	UNIQUE ("key"), 
	FOREIGN KEY(edition) REFERENCES product_edition (id), 
	FOREIGN KEY(reverses) REFERENCES entry (id), 
	FOREIGN KEY(replaces) REFERENCES entry (id), 
	FOREIGN KEY(closes) REFERENCES entry (id)
);
INSERT INTO "entry" VALUES(1,'r','ccffab2239d491c39890100e2b86331ee1f04066ad4b9e6cd920bffa7f073ead','receive','',1,'2026-01','2026-01-03','','2026-12-01T05:43:06.288660+00:00','North yard','Pat','wash',1,'L1','','','','',3480000000,4000000000,870.0,'4 L','volume','label',NULL,'none','','','','','',NULL,NULL,NULL);
INSERT INTO "entry" VALUES(2,'u','510629f62ef7123b54322afefadf24d4d6575e4ec15bce26edb529296e294915','use','',1,'2026-01','2026-01-05','2026-01-05T08:00:00+00:00','2026-12-01T05:43:06.291984+00:00','North yard','Pat','wash',1,'L1','','','','',870000000,1000000000,870.0,'1 L','volume','measured',NULL,'','','','','','',NULL,NULL,NULL);
INSERT INTO "entry" VALUES(3,'w','3704b4f18592f5cc71016b22a2f235e764d612dddb913c2e711a71401a8914ab','waste','from job',1,'2026-01','2026-01-06','','2026-12-01T05:43:06.292137+00:00','North yard','Pat','wash',1,'','','','','drum-7',400000000,459770115,870.0,'400 g','mass','weighed',NULL,'','','','','','',NULL,NULL,NULL);
INSERT INTO "entry" VALUES(4,'not~u','510629f62ef7123b54322afefadf24d4d6575e4ec15bce26edb529296e294915','use','',-1,'2026-01','2026-01-05','2026-01-05T08:00:00+00:00','2026-12-01T05:43:06.295108+00:00','North yard','Lead','wash',1,'L1','','','','',-870000000,-1000000000,870.0,'1 L','volume','measured',NULL,'','','','never','','',2,NULL,NULL);
CREATE TABLE frozen (
	id TEXT NOT NULL, 
	what TEXT NOT NULL, 
	title TEXT NOT NULL, 
	version TEXT NOT NULL, 
	seed BIGINT NOT NULL, 
	draws BIGINT NOT NULL, 
	result TEXT NOT NULL, 
	at TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(result) REFERENCES text_blob (hash)
);
INSERT INTO "frozen" VALUES('b90b8ef3f2b159a7c3891105a5db8e226193d3327922c8a7cdba87b0549d9256','sheet','','1',1,2,'44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a','2026-12-01T05:43:06.301825+00:00');
CREATE TABLE frozen_input (
	frozen TEXT NOT NULL, 
	name TEXT NOT NULL, 
	hash TEXT NOT NULL, 
	PRIMARY KEY (frozen, name), 
	FOREIGN KEY(frozen) REFERENCES frozen (id), 
	FOREIGN KEY(hash) REFERENCES text_blob (hash)
);
INSERT INTO "frozen_input" VALUES('b90b8ef3f2b159a7c3891105a5db8e226193d3327922c8a7cdba87b0549d9256','shop.toml','2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881');
CREATE TABLE ledger_version (
	version INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	PRIMARY KEY (version)
);
INSERT INTO "ledger_version" VALUES(1,'2026-12-01T05:43:06.057289+00:00');
INSERT INTO "ledger_version" VALUES(2,'2026-12-01T05:43:06.059973+00:00');
INSERT INTO "ledger_version" VALUES(3,'2026-12-01T05:43:06.062321+00:00');
CREATE TABLE product_edition (
	id INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	product TEXT NOT NULL, 
	name TEXT DEFAULT '' NOT NULL, 
	role TEXT DEFAULT '' NOT NULL, 
	density FLOAT, 
	voc FLOAT, 
	sds_revised TEXT, 
	PRIMARY KEY (id), 
	UNIQUE (hash)
);
INSERT INTO "product_edition" VALUES(1,'9c2c3cf70c16e6cc24fd53cd6d971af2c1b53366b7515e73ada10a122b40a265','wash','Wash','cleaner',870.0,NULL,'2026-01-01');
CREATE TABLE product_part (
	edition INTEGER NOT NULL, 
	place INTEGER NOT NULL, 
	name TEXT DEFAULT '' NOT NULL, 
	cas TEXT DEFAULT '' NOT NULL, 
	low FLOAT NOT NULL, 
	high FLOAT NOT NULL, 
	volatile INTEGER NOT NULL, 
	PRIMARY KEY (edition, place), 
	FOREIGN KEY(edition) REFERENCES product_edition (id)
);
INSERT INTO "product_part" VALUES(1,0,'toluene','108-88-3',0.7,1.0,1);
INSERT INTO "product_part" VALUES(1,1,'heptane','142-82-5',0.0,0.3,1);
CREATE TABLE run (
	id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	shop TEXT DEFAULT '' NOT NULL, 
	job TEXT NOT NULL, 
	title TEXT DEFAULT '' NOT NULL, 
	unit TEXT DEFAULT '' NOT NULL, 
	sheet TEXT DEFAULT '' NOT NULL, 
	started TEXT NOT NULL, 
	recorded TEXT NOT NULL, 
	who TEXT DEFAULT '' NOT NULL, 
	checks TEXT DEFAULT '' NOT NULL, 
	anyway TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE ("key")
);
CREATE TABLE sign_off (
	id INTEGER NOT NULL, 
	frozen TEXT NOT NULL, 
	name TEXT NOT NULL, 
	role TEXT NOT NULL, 
	at TEXT NOT NULL, 
	recorded TEXT NOT NULL, 
	note TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (frozen, name, role, at), 
	FOREIGN KEY(frozen) REFERENCES frozen (id)
);
INSERT INTO "sign_off" VALUES(1,'b90b8ef3f2b159a7c3891105a5db8e226193d3327922c8a7cdba87b0549d9256','Pat','technician','2026-11-25T12:00:00+00:00','2026-12-01T05:43:06.304551+00:00','');
CREATE TABLE tap (
	id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	run INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	step INTEGER NOT NULL, 
	coat INTEGER NOT NULL, 
	turn INTEGER, 
	at TEXT NOT NULL, 
	heard TEXT NOT NULL, 
	value TEXT DEFAULT '' NOT NULL, 
	who TEXT DEFAULT '' NOT NULL, 
	device TEXT DEFAULT '' NOT NULL, 
	note TEXT DEFAULT '' NOT NULL, 
	undoes INTEGER, 
	PRIMARY KEY (id), 
	UNIQUE (run, kind, step, coat, turn), 
	UNIQUE ("key"), 
	FOREIGN KEY(run) REFERENCES run (id), 
	UNIQUE (undoes), 
	FOREIGN KEY(undoes) REFERENCES tap (id)
);
CREATE TABLE text_blob (
	hash TEXT NOT NULL, 
	content TEXT NOT NULL, 
	PRIMARY KEY (hash)
);
INSERT INTO "text_blob" VALUES('2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881','x');
INSERT INTO "text_blob" VALUES('44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a','{}');
CREATE INDEX entry_flow ON entry (month, kind, way, edition, basis, operation, sign, mass_ug, volume_nl, shop, product);
CREATE INDEX entry_content ON entry (content, day);
CREATE INDEX entry_lot ON entry (product, lot, kind);
CREATE UNIQUE INDEX entry_closes ON entry (closes) WHERE closes IS NOT NULL;
CREATE UNIQUE INDEX entry_replaces ON entry (replaces) WHERE replaces IS NOT NULL;
CREATE UNIQUE INDEX entry_reverses ON entry (reverses) WHERE reverses IS NOT NULL;
CREATE TRIGGER ledger_version_no_update BEFORE UPDATE ON ledger_version BEGIN SELECT RAISE(ABORT, 'ledger_version is append-only: record a correction instead'); END;
CREATE TRIGGER ledger_version_no_delete BEFORE DELETE ON ledger_version BEGIN SELECT RAISE(ABORT, 'ledger_version is append-only: record a correction instead'); END;
CREATE TRIGGER ledger_version_no_replace BEFORE INSERT ON ledger_version WHEN EXISTS (SELECT 1 FROM ledger_version WHERE (version = NEW.version)) BEGIN SELECT RAISE(ABORT, 'ledger_version is append-only: record a correction instead'); END;
CREATE TRIGGER product_edition_no_update BEFORE UPDATE ON product_edition BEGIN SELECT RAISE(ABORT, 'product_edition is append-only: record a correction instead'); END;
CREATE TRIGGER product_edition_no_delete BEFORE DELETE ON product_edition BEGIN SELECT RAISE(ABORT, 'product_edition is append-only: record a correction instead'); END;
CREATE TRIGGER product_edition_no_replace BEFORE INSERT ON product_edition WHEN EXISTS (SELECT 1 FROM product_edition WHERE (id = NEW.id) OR (hash = NEW.hash)) BEGIN SELECT RAISE(ABORT, 'product_edition is append-only: record a correction instead'); END;
CREATE TRIGGER product_part_no_update BEFORE UPDATE ON product_part BEGIN SELECT RAISE(ABORT, 'product_part is append-only: record a correction instead'); END;
CREATE TRIGGER product_part_no_delete BEFORE DELETE ON product_part BEGIN SELECT RAISE(ABORT, 'product_part is append-only: record a correction instead'); END;
CREATE TRIGGER product_part_no_replace BEFORE INSERT ON product_part WHEN EXISTS (SELECT 1 FROM product_part WHERE (edition = NEW.edition AND place = NEW.place)) BEGIN SELECT RAISE(ABORT, 'product_part is append-only: record a correction instead'); END;
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'entry is append-only: record a correction instead'); END;
CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'entry is append-only: record a correction instead'); END;
CREATE TRIGGER entry_no_replace BEFORE INSERT ON entry WHEN EXISTS (SELECT 1 FROM entry WHERE (id = NEW.id) OR (key = NEW.key) OR (closes = NEW.closes) OR (replaces = NEW.replaces) OR (reverses = NEW.reverses)) BEGIN SELECT RAISE(ABORT, 'entry is append-only: record a correction instead'); END;
CREATE TRIGGER text_blob_no_update BEFORE UPDATE ON text_blob BEGIN SELECT RAISE(ABORT, 'text_blob is append-only: record a correction instead'); END;
CREATE TRIGGER text_blob_no_delete BEFORE DELETE ON text_blob BEGIN SELECT RAISE(ABORT, 'text_blob is append-only: record a correction instead'); END;
CREATE TRIGGER text_blob_no_replace BEFORE INSERT ON text_blob WHEN EXISTS (SELECT 1 FROM text_blob WHERE (hash = NEW.hash)) BEGIN SELECT RAISE(ABORT, 'text_blob is append-only: record a correction instead'); END;
CREATE TRIGGER frozen_no_update BEFORE UPDATE ON frozen BEGIN SELECT RAISE(ABORT, 'frozen is append-only: record a correction instead'); END;
CREATE TRIGGER frozen_no_delete BEFORE DELETE ON frozen BEGIN SELECT RAISE(ABORT, 'frozen is append-only: record a correction instead'); END;
CREATE TRIGGER frozen_no_replace BEFORE INSERT ON frozen WHEN EXISTS (SELECT 1 FROM frozen WHERE (id = NEW.id)) BEGIN SELECT RAISE(ABORT, 'frozen is append-only: record a correction instead'); END;
CREATE TRIGGER frozen_input_no_update BEFORE UPDATE ON frozen_input BEGIN SELECT RAISE(ABORT, 'frozen_input is append-only: record a correction instead'); END;
CREATE TRIGGER frozen_input_no_delete BEFORE DELETE ON frozen_input BEGIN SELECT RAISE(ABORT, 'frozen_input is append-only: record a correction instead'); END;
CREATE TRIGGER frozen_input_no_replace BEFORE INSERT ON frozen_input WHEN EXISTS (SELECT 1 FROM frozen_input WHERE (frozen = NEW.frozen AND name = NEW.name)) BEGIN SELECT RAISE(ABORT, 'frozen_input is append-only: record a correction instead'); END;
CREATE TRIGGER sign_off_no_update BEFORE UPDATE ON sign_off BEGIN SELECT RAISE(ABORT, 'sign_off is append-only: record a correction instead'); END;
CREATE TRIGGER sign_off_no_delete BEFORE DELETE ON sign_off BEGIN SELECT RAISE(ABORT, 'sign_off is append-only: record a correction instead'); END;
CREATE TRIGGER sign_off_no_replace BEFORE INSERT ON sign_off WHEN EXISTS (SELECT 1 FROM sign_off WHERE (id = NEW.id) OR (frozen = NEW.frozen AND name = NEW.name AND role = NEW.role AND at = NEW.at)) BEGIN SELECT RAISE(ABORT, 'sign_off is append-only: record a correction instead'); END;
CREATE INDEX ix_tap_run ON tap (run);
CREATE TRIGGER run_no_update BEFORE UPDATE ON run BEGIN SELECT RAISE(ABORT, 'run is append-only: record a correction instead'); END;
CREATE TRIGGER run_no_delete BEFORE DELETE ON run BEGIN SELECT RAISE(ABORT, 'run is append-only: record a correction instead'); END;
CREATE TRIGGER run_no_replace BEFORE INSERT ON run WHEN EXISTS (SELECT 1 FROM run WHERE (id = NEW.id) OR (key = NEW.key)) BEGIN SELECT RAISE(ABORT, 'run is append-only: record a correction instead'); END;
CREATE TRIGGER tap_no_update BEFORE UPDATE ON tap BEGIN SELECT RAISE(ABORT, 'tap is append-only: record a correction instead'); END;
CREATE TRIGGER tap_no_delete BEFORE DELETE ON tap BEGIN SELECT RAISE(ABORT, 'tap is append-only: record a correction instead'); END;
CREATE TRIGGER tap_no_replace BEFORE INSERT ON tap WHEN EXISTS (SELECT 1 FROM tap WHERE (id = NEW.id) OR (key = NEW.key) OR (undoes = NEW.undoes) OR (run = NEW.run AND kind = NEW.kind AND step = NEW.step AND coat = NEW.coat AND turn = NEW.turn)) BEGIN SELECT RAISE(ABORT, 'tap is append-only: record a correction instead'); END;
CREATE TRIGGER audit_no_update BEFORE UPDATE ON audit BEGIN SELECT RAISE(ABORT, 'audit is append-only: record a correction instead'); END;
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit BEGIN SELECT RAISE(ABORT, 'audit is append-only: record a correction instead'); END;
CREATE TRIGGER audit_no_replace BEFORE INSERT ON audit WHEN EXISTS (SELECT 1 FROM audit WHERE (id = NEW.id)) BEGIN SELECT RAISE(ABORT, 'audit is append-only: record a correction instead'); END;
COMMIT;