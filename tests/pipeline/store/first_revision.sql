BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE events (
	number INTEGER NOT NULL, 
	record_id VARCHAR(32) NOT NULL, 
	version INTEGER NOT NULL, 
	kind VARCHAR(16) NOT NULL, 
	at VARCHAR(40) NOT NULL, 
	who TEXT NOT NULL, 
	what TEXT NOT NULL, 
	"before" TEXT, 
	"after" TEXT, 
	why TEXT, 
	source TEXT, 
	undoes INTEGER, 
	document VARCHAR(64) NOT NULL, 
	previous VARCHAR(64) NOT NULL, 
	sha256 VARCHAR(64) NOT NULL, 
	PRIMARY KEY (number), 
	FOREIGN KEY(record_id, version) REFERENCES versions (record_id, version)
);
INSERT INTO "events" VALUES(1,'71fb2dc2ea6d4db2b01bf11d9954b547',1,'add','2026-05-04T09:30:00.000000+00:00','Ada Lind','add the record',NULL,NULL,NULL,'visit-1.json',NULL,'a911d228fdf525a14a5662a2201991ebbfbe66bf6d64b80e147bd9e5c53a04fc','0000000000000000000000000000000000000000000000000000000000000000','276aa7eb7b65c9660095bfc12dac4bd66008f1673a72a37cecfda87ff2003203');
INSERT INTO "events" VALUES(2,'26333788e09f45b8a4ffb5a04f8863ef',1,'add','2026-05-04T09:30:00.000000+00:00','Ada Lind','add the record',NULL,NULL,NULL,NULL,NULL,'4c6415a45404499df266b431873305b42075e52766b1cc31b19d83875f69b1ec','276aa7eb7b65c9660095bfc12dac4bd66008f1673a72a37cecfda87ff2003203','b22dac2a7d61170557222bdb3538e4a874be830f6716340d4ffb22d48ad190e4');
INSERT INTO "events" VALUES(3,'71fb2dc2ea6d4db2b01bf11d9954b547',2,'save','2026-05-04T09:30:00.000000+00:00','Bo Falk','age','61','9','asked',NULL,NULL,'0656e308ffba5f00ae497731005e5424226db9936b546ca7292b293bdbe4bba3','b22dac2a7d61170557222bdb3538e4a874be830f6716340d4ffb22d48ad190e4','63940a6eb44dec8a1fd58420e643cdacd48d64b79fb0ee072000c9679c0af977');
INSERT INTO "events" VALUES(4,'71fb2dc2ea6d4db2b01bf11d9954b547',3,'undo','2026-05-04T09:30:00.000000+00:00','Bo Falk','undo: age','9','61',NULL,NULL,2,'a911d228fdf525a14a5662a2201991ebbfbe66bf6d64b80e147bd9e5c53a04fc','63940a6eb44dec8a1fd58420e643cdacd48d64b79fb0ee072000c9679c0af977','4159c4db73973dc689373077fa1bb066b54a3768f42a4dd597334135a77d9edf');
INSERT INTO "events" VALUES(5,'26333788e09f45b8a4ffb5a04f8863ef',2,'save','2026-05-04T09:30:00.000000+00:00','Ada Lind','examiner',NULL,NULL,NULL,NULL,NULL,'147fc23feabf2a1e36f6f9d5b7330df2925c8c032791e9cc1480fc363474efef','4159c4db73973dc689373077fa1bb066b54a3768f42a4dd597334135a77d9edf','4bdd7706b551a110d78aae79cdd7b497e8c34756da557a9dac0c73bf69075d35');
CREATE TABLE head (
	id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	sha256 VARCHAR(64) NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "head" VALUES(1,5,'4bdd7706b551a110d78aae79cdd7b497e8c34756da557a9dac0c73bf69075d35');
CREATE TABLE records (
	id VARCHAR(32) NOT NULL, 
	added INTEGER NOT NULL, 
	version INTEGER NOT NULL, 
	narration TEXT NOT NULL, 
	state VARCHAR(16) NOT NULL, 
	at VARCHAR(40) NOT NULL, 
	who TEXT NOT NULL, 
	audio_path TEXT, 
	PRIMARY KEY (id)
);
INSERT INTO "records" VALUES('71fb2dc2ea6d4db2b01bf11d9954b547',1,3,'visit-1','unsigned','2026-05-04T09:30:00.000000+00:00','Bo Falk',NULL);
INSERT INTO "records" VALUES('26333788e09f45b8a4ffb5a04f8863ef',2,2,'visit-2','unsigned','2026-05-04T09:30:00.000000+00:00','Ada Lind',NULL);
CREATE TABLE versions (
	record_id VARCHAR(32) NOT NULL, 
	version INTEGER NOT NULL, 
	content TEXT NOT NULL, 
	PRIMARY KEY (record_id, version), 
	FOREIGN KEY(record_id) REFERENCES records (id)
);
INSERT INTO "versions" VALUES('71fb2dc2ea6d4db2b01bf11d9954b547',1,'{"schema_version":"1.1","narration":"visit-1","age_months":61,"examiner":null,"date":null,"audio":null,"model":null,"lexicon_version":null,"program_version":null,"heard":"","corrected":"","words":[],"findings":[{"modality":"power","segment":"elbow_extension","side":"left","grade":"3","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null},{"modality":"power","segment":"elbow_extension","side":"right","grade":"5","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null}],"claims":[],"corrections":[],"unresolved":[],"dropped":[],"rejected":[],"signature":null,"amends":null}');
INSERT INTO "versions" VALUES('26333788e09f45b8a4ffb5a04f8863ef',1,'{"schema_version":"1.1","narration":"visit-2","age_months":62,"examiner":null,"date":null,"audio":null,"model":null,"lexicon_version":null,"program_version":null,"heard":"","corrected":"","words":[],"findings":[{"modality":"power","segment":"elbow_extension","side":"left","grade":"3","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null},{"modality":"power","segment":"elbow_extension","side":"right","grade":"5","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null}],"claims":[],"corrections":[],"unresolved":[],"dropped":[],"rejected":[],"signature":null,"amends":null}');
INSERT INTO "versions" VALUES('71fb2dc2ea6d4db2b01bf11d9954b547',2,'{"schema_version":"1.1","narration":"visit-1","age_months":9,"examiner":null,"date":null,"audio":null,"model":null,"lexicon_version":null,"program_version":null,"heard":"","corrected":"","words":[],"findings":[{"modality":"power","segment":"elbow_extension","side":"left","grade":"3","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null},{"modality":"power","segment":"elbow_extension","side":"right","grade":"5","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null}],"claims":[],"corrections":[],"unresolved":[],"dropped":[],"rejected":[],"signature":null,"amends":null}');
INSERT INTO "versions" VALUES('71fb2dc2ea6d4db2b01bf11d9954b547',3,'{"schema_version":"1.1","narration":"visit-1","age_months":61,"examiner":null,"date":null,"audio":null,"model":null,"lexicon_version":null,"program_version":null,"heard":"","corrected":"","words":[],"findings":[{"modality":"power","segment":"elbow_extension","side":"left","grade":"3","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null},{"modality":"power","segment":"elbow_extension","side":"right","grade":"5","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null}],"claims":[],"corrections":[],"unresolved":[],"dropped":[],"rejected":[],"signature":null,"amends":null}');
INSERT INTO "versions" VALUES('26333788e09f45b8a4ffb5a04f8863ef',2,'{"schema_version":"1.1","narration":"visit-2","age_months":62,"examiner":"Ada Lind","date":"2026-05-03","audio":null,"model":null,"lexicon_version":null,"program_version":null,"heard":"","corrected":"","words":[],"findings":[{"modality":"power","segment":"elbow_extension","side":"left","grade":"3","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null},{"modality":"power","segment":"elbow_extension","side":"right","grade":"5","status":"observed","certainty":"definite","confidence":1.0,"evidence":null,"origin":{"by":"heard","who":null,"when":null},"rule":null,"corrections":[],"note":null}],"claims":[],"corrections":[],"unresolved":[],"dropped":[],"rejected":[],"signature":null,"amends":null}');
CREATE INDEX ix_events_document ON events (document);
CREATE UNIQUE INDEX ix_events_record ON events (record_id, version);
CREATE TRIGGER events_no_update BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'events only grow'); END;
CREATE TRIGGER events_no_delete BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'events only grow'); END;
CREATE TRIGGER events_no_replace BEFORE INSERT ON events WHEN EXISTS (SELECT 1 FROM events WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'events only grow'); END;
CREATE TRIGGER versions_no_update BEFORE UPDATE ON versions BEGIN SELECT RAISE(ABORT, 'versions only grow'); END;
CREATE TRIGGER versions_no_delete BEFORE DELETE ON versions BEGIN SELECT RAISE(ABORT, 'versions only grow'); END;
CREATE TRIGGER versions_no_replace BEFORE INSERT ON versions WHEN EXISTS (SELECT 1 FROM versions WHERE record_id = NEW.record_id AND version = NEW.version) BEGIN SELECT RAISE(ABORT, 'versions only grow'); END;
CREATE TRIGGER head_forward BEFORE UPDATE ON head WHEN NEW.id <> 1 OR NEW.number <> OLD.number + 1 BEGIN SELECT RAISE(ABORT, 'the head only moves on'); END;
CREATE TRIGGER head_stays BEFORE DELETE ON head BEGIN SELECT RAISE(ABORT, 'the head stays'); END;
CREATE TRIGGER head_alone BEFORE INSERT ON head BEGIN SELECT RAISE(ABORT, 'there is one head'); END;
COMMIT;
