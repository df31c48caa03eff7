-- CreateTable
CREATE TABLE "Run" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "scenarioId" TEXT NOT NULL,
    "scenarioTitle" TEXT NOT NULL,
    "packId" TEXT NOT NULL,
    "engineVersion" TEXT NOT NULL,
    "phase" TEXT NOT NULL,
    "clockMs" INTEGER NOT NULL DEFAULT 0,
    "joinCode" TEXT,
    "imported" BOOLEAN NOT NULL DEFAULT false,
    "scoredTake" INTEGER NOT NULL DEFAULT 1,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "endedAt" DATETIME,
    "definition" TEXT NOT NULL,
    "scenarioText" TEXT,
    "derived" TEXT
);

-- CreateTable
CREATE TABLE "Event" (
    "runId" TEXT NOT NULL,
    "seq" INTEGER NOT NULL,
    "take" INTEGER NOT NULL,
    "appliedAtMs" INTEGER NOT NULL,
    "occurredAtMs" INTEGER NOT NULL,
    "wallTime" TEXT NOT NULL,
    "byRole" TEXT NOT NULL,
    "bySeat" TEXT,
    "kind" TEXT NOT NULL,
    "body" TEXT NOT NULL,
    "clientId" TEXT,
    "clientNumber" BIGINT,
    "requestHash" TEXT,
    "warnings" TEXT NOT NULL DEFAULT '[]',

    PRIMARY KEY ("runId", "seq"),
    CONSTRAINT "Event_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "EventText" (
    "runId" TEXT NOT NULL,
    "seq" INTEGER NOT NULL,
    "field" TEXT NOT NULL,
    "salt" TEXT NOT NULL,
    "text" TEXT NOT NULL,

    PRIMARY KEY ("runId", "seq", "field"),
    CONSTRAINT "EventText_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "TrackSecond" (
    "runId" TEXT NOT NULL,
    "take" INTEGER NOT NULL,
    "atMs" INTEGER NOT NULL,
    "row" TEXT NOT NULL,

    PRIMARY KEY ("runId", "take", "atMs"),
    CONSTRAINT "TrackSecond_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Session" (
    "tokenHash" TEXT NOT NULL PRIMARY KEY,
    "role" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expiresAt" DATETIME NOT NULL
);

-- CreateTable
CREATE TABLE "Setting" (
    "key" TEXT NOT NULL PRIMARY KEY,
    "value" TEXT NOT NULL
);

-- CreateIndex
CREATE UNIQUE INDEX "Run_joinCode_key" ON "Run"("joinCode");

-- CreateIndex
CREATE INDEX "Run_createdAt_idx" ON "Run"("createdAt");

-- CreateIndex
CREATE UNIQUE INDEX "Event_runId_clientId_clientNumber_key" ON "Event"("runId", "clientId", "clientNumber");

