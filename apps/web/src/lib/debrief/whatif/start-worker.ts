/** A worker of one's own for replays. */
export const startWorker = (): Worker => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
