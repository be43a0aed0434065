-- The tables of version 1 of a store, as it made them.
CREATE TABLE store_version (
	version SERIAL NOT NULL, 
	PRIMARY KEY (version)
);

CREATE TABLE events (
	job VARCHAR(36) NOT NULL, 
	sequence INTEGER NOT NULL, 
	at VARCHAR(40) NOT NULL, 
	kind VARCHAR(100) NOT NULL, 
	payload VARCHAR NOT NULL, 
	account VARCHAR(100) NOT NULL, 
	counter VARCHAR(100) NOT NULL, 
	PRIMARY KEY (job, sequence)
);

CREATE TABLE forgotten (
	job VARCHAR(36) NOT NULL, 
	at VARCHAR(40) NOT NULL, 
	account VARCHAR(100) NOT NULL, 
	counter VARCHAR(100) NOT NULL, 
	PRIMARY KEY (job)
);

CREATE TABLE leases (
	job VARCHAR(36) NOT NULL, 
	account VARCHAR(100) NOT NULL, 
	counter VARCHAR(100) NOT NULL, 
	until VARCHAR(40) NOT NULL, 
	PRIMARY KEY (job)
);

CREATE TABLE jobs (
	job VARCHAR(36) NOT NULL, 
	name VARCHAR(100) NOT NULL, 
	counter VARCHAR(100) NOT NULL, 
	account VARCHAR(100) NOT NULL, 
	opened VARCHAR(40) NOT NULL, 
	latest VARCHAR(40) NOT NULL, 
	state VARCHAR(100) NOT NULL, 
	role VARCHAR(100), 
	complaint VARCHAR(100), 
	unit VARCHAR(100), 
	decision VARCHAR(100), 
	answers INTEGER NOT NULL, 
	minutes FLOAT, 
	helped VARCHAR(100), 
	came_back VARCHAR(100), 
	due VARCHAR(10), 
	pool VARCHAR(36), 
	PRIMARY KEY (job)
);

CREATE INDEX jobs_by_account ON jobs (account, opened);

CREATE INDEX jobs_by_state ON jobs (state, opened);

CREATE INDEX jobs_by_name ON jobs (name);

CREATE INDEX jobs_by_due ON jobs (due);

CREATE INDEX jobs_by_pool ON jobs (pool, opened);

CREATE INDEX jobs_by_time ON jobs (opened, job);

CREATE TABLE outcomes (
	job VARCHAR(36) NOT NULL, 
	cause VARCHAR(100) NOT NULL, 
	PRIMARY KEY (job, cause)
);

CREATE TABLE repairs (
	job VARCHAR(36) NOT NULL, 
	repair VARCHAR(100) NOT NULL, 
	outcome VARCHAR(100) NOT NULL, 
	at VARCHAR(40) NOT NULL, 
	PRIMARY KEY (job, repair)
);

CREATE TABLE parts (
	job VARCHAR(36) NOT NULL, 
	part VARCHAR(100) NOT NULL, 
	amount FLOAT NOT NULL, 
	unit VARCHAR(100) NOT NULL, 
	PRIMARY KEY (job, part)
);

CREATE TABLE readings (
	job VARCHAR(36) NOT NULL, 
	reading VARCHAR(100) NOT NULL, 
	at VARCHAR(40) NOT NULL, 
	number FLOAT, 
	answer VARCHAR(100), 
	PRIMARY KEY (job, reading)
);

CREATE TABLE pools (
	pool VARCHAR(36) NOT NULL, 
	person VARCHAR(36) NOT NULL, 
	name VARCHAR NOT NULL, 
	telephone VARCHAR NOT NULL, 
	site VARCHAR NOT NULL, 
	serial VARCHAR NOT NULL, 
	latest VARCHAR(40) NOT NULL, 
	PRIMARY KEY (pool)
);

CREATE INDEX pools_by_person ON pools (person);

CREATE TABLE sought (
	word VARCHAR(100) COLLATE "C" NOT NULL, 
	pool VARCHAR(36) NOT NULL, 
	PRIMARY KEY (word, pool)
);

CREATE INDEX sought_by_pool ON sought (pool);

CREATE TABLE grams (
	gram VARCHAR(100) COLLATE "C" NOT NULL, 
	word VARCHAR(100) COLLATE "C" NOT NULL, 
	PRIMARY KEY (gram, word)
);

CREATE TABLE said (
	job VARCHAR(36) NOT NULL, 
	sequence INTEGER NOT NULL, 
	field VARCHAR(100) NOT NULL, 
	words VARCHAR NOT NULL, 
	PRIMARY KEY (job, sequence, field), 
	FOREIGN KEY(job, sequence) REFERENCES events (job, sequence)
);

INSERT INTO store_version (version) VALUES (1);
