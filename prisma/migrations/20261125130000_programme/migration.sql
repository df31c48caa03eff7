-- AlterTable
ALTER TABLE "Run" ADD COLUMN "ward" TEXT;
ALTER TABLE "Run" ADD COLUMN "team" TEXT;
ALTER TABLE "Run" ADD COLUMN "scored" BOOLEAN NOT NULL DEFAULT true;
ALTER TABLE "Run" ADD COLUMN "repeatOf" TEXT;

-- CreateTable
CREATE TABLE "RunSummary" (
    "runId" TEXT NOT NULL PRIMARY KEY,
    "take" INTEGER NOT NULL,
    "logSeq" INTEGER NOT NULL,
    "version" INTEGER NOT NULL,
    "body" TEXT NOT NULL,
    CONSTRAINT "RunSummary_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Problem" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "runId" TEXT,
    "seq" INTEGER,
    "ward" TEXT,
    "category" TEXT NOT NULL,
    "words" TEXT NOT NULL DEFAULT '',
    "photo" TEXT,
    "risk" TEXT,
    "ownerRole" TEXT NOT NULL DEFAULT '',
    "dueOn" TEXT,
    "fixedOn" TEXT,
    "retestedOn" TEXT,
    "status" TEXT NOT NULL DEFAULT 'open',
    "foundAt" DATETIME NOT NULL,
    "touched" BOOLEAN NOT NULL DEFAULT false,
    CONSTRAINT "Problem_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Person" (
    "pseudonym" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL DEFAULT '',
    "consent" BOOLEAN NOT NULL DEFAULT false,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP
);

-- CreateIndex
CREATE INDEX "Problem_ward_status_idx" ON "Problem"("ward", "status");

-- CreateIndex
CREATE UNIQUE INDEX "Problem_runId_seq_key" ON "Problem"("runId", "seq");
