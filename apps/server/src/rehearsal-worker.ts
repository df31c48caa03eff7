/** One scenario read and rehearsed, in a thread of its own: what an author wrote may take long or never end. */
import { setPriority } from 'node:os';
import { parentPort, workerData } from 'node:worker_threads';
import { DebriefError, RehearsalRoom, type RehearsalReport } from '@breathline/debrief';
import { EngineError } from '@breathline/engine';
import { readScenario, usualPackId, type Diagnostic, type Library } from '@breathline/scenario';

/** What the thread is given. */
export interface RehearsalTask {
  readonly file: string;
  readonly text: string;
  readonly library: Library;
  readonly packId: string | null;
}

/** What the thread tells; the last is never `playing`. */
export type RehearsalNews =
  | { readonly tells: 'playing'; readonly played: number; readonly of: number }
  | { readonly tells: 'done'; readonly report: RehearsalReport; readonly warnings: readonly Diagnostic[] }
  | { readonly tells: 'unreadable'; readonly errors: readonly Diagnostic[] }
  | { readonly tells: 'failed'; readonly why: string; readonly mend: string };

/** Gives way to the drills of the same machine. */
const NICE = 10;

/** Where the system counts by thread (Linux) this thread alone gives way; elsewhere it would be the whole server. */
const giveWay = (): void => {
  if (process.platform !== 'linux') return;
  try {
    setPriority(0, NICE);
  } catch {
    // It is a courtesy; the system shares its cores all the same.
  }
};

const rehearse = ({ file, text, library, packId }: RehearsalTask, tell: (news: RehearsalNews) => void): void => {
  const read = readScenario(text, { file, library });
  if (!read.ok) return tell({ tells: 'unreadable', errors: read.errors });
  const scenario = read.value;
  const chosen = packId ?? usualPackId(scenario, library);
  const room = new RehearsalRoom({ scenario, library, packId: chosen, seed: 1 }, { file, text });
  const of = scenario.rehearsals.length;
  tell({ tells: 'playing', played: 0, of });
  const played = scenario.rehearsals.map((rehearsal, at) => {
    const one = room.play(rehearsal);
    tell({ tells: 'playing', played: at + 1, of });
    return one;
  });
  tell({ tells: 'done', report: room.report(played), warnings: read.warnings });
};

const port = parentPort;
if (port) {
  giveWay();
  try {
    rehearse(workerData as RehearsalTask, (news) => port.postMessage(news));
  } catch (error) {
    if (!(error instanceof EngineError) && !(error instanceof DebriefError)) throw error;
    port.postMessage({ tells: 'failed', why: error.message, mend: error.hint ?? '' } satisfies RehearsalNews);
  }
}
