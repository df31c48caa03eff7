/** Facts for the readiness board. It judges them; this only looks. */
import { open, statfs, unlink } from 'node:fs/promises';
import path from 'node:path';
import type { ReadyAnswer } from '@breathline/protocol';
import { requireFaculty, type Caller } from './access.ts';
import type { BackupService } from './backup-service.ts';
import type { RunRegistry } from './run-registry.ts';

export class ReadyService {
  readonly #registry: RunRegistry;
  readonly #dataFolder: string;
  readonly #version: string;
  readonly #backup: Pick<BackupService, 'read'>;

  constructor(registry: RunRegistry, dataFolder: string, version: string, backup: Pick<BackupService, 'read'>) {
    this.#registry = registry;
    this.#dataFolder = dataFolder;
    this.#version = version;
    this.#backup = backup;
  }

  async read(caller: Caller): Promise<ReadyAnswer> {
    requireFaculty(caller);
    const [freeDiskBytes, dataFolderWritable, backup] = await Promise.all([
      this.#freeBytes(),
      this.#writable(),
      this.#backup.read(),
    ]);
    return {
      version: this.#version,
      freeDiskBytes,
      dataFolderWritable,
      backup,
      lastSyncAt: this.#registry.lastSyncAt?.toISOString() ?? null,
      runs: this.#registry.entries
        .filter(({ run }) => run.phase !== 'ended')
        .map(({ run, screens }) => ({ runId: run.runId, phase: run.phase, ...screens.counts() })),
    };
  }

  async #freeBytes(): Promise<number | null> {
    const info = await statfs(this.#dataFolder).catch(() => null);
    return info && info.bavail * info.bsize;
  }

  /** Writes and syncs, since a full or failing disk may well say that one is allowed to. */
  async #writable(): Promise<boolean> {
    const name = path.join(this.#dataFolder, `ready-check-${process.pid}`);
    try {
      const file = await open(name, 'w', 0o600);
      try {
        await file.writeFile('ready');
        await file.sync();
      } finally {
        await file.close();
      }
      await unlink(name);
      return true;
    } catch {
      return false;
    }
  }
}
