-- AlterTable
ALTER TABLE "Run" ADD COLUMN "crewCode" TEXT;
ALTER TABLE "Run" ADD COLUMN "seenAt" DATETIME;

-- CreateTable
CREATE TABLE "Photo" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "runId" TEXT NOT NULL,
    "type" TEXT NOT NULL,
    "bytes" INTEGER NOT NULL,
    "byRole" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    CONSTRAINT "Photo_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateIndex
CREATE INDEX "Photo_runId_idx" ON "Photo"("runId");

-- CreateIndex
CREATE UNIQUE INDEX "Run_crewCode_key" ON "Run"("crewCode");
