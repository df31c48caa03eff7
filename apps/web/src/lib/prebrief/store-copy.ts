/** The line of the readiness board about the copy of the store, in words. Pure. */
import type { BackupAnswer } from '$lib/api';
import { whenText } from '../time.ts';
import type { Fact } from './board.ts';

const DAY_MS = 86_400_000;
/** One is made a day and after each run; older than two days, none was. */
const OLD_MS = 2 * DAY_MS;

/** "41 GB", "380 MB". */
export function sizeText(bytes: number): string {
  const gb = bytes / 1024 ** 3;
  return gb >= 1 ? `${Math.floor(gb)} GB` : `${Math.floor(bytes / 1024 ** 2)} MB`;
}

function says({ last, problem, waiting, sameDisk, stale, folder }: BackupAnswer, nowMs: number): string {
  if (last === null) {
    if (problem !== null) return `No copy of the store: ${problem}`;
    return waiting
      ? 'Copy of the store: the first one is on its way'
      : 'No copy of the store yet; one is made within the hour';
  }
  const size = last.bytes < 1024 ** 2 ? 'less than 1 MB' : sizeText(last.bytes);
  const parts = [
    `Copy of the store: ${whenText(last.madeAt)}, ${last.runs} ${last.runs === 1 ? 'run' : 'runs'}, ${size}, opened and whole`,
  ];
  if (problem !== null) parts.push(`the last try failed: ${problem}`);
  else if (nowMs - Date.parse(last.madeAt) > OLD_MS)
    parts.push('this is old: start the server again, and see that no drill is left running');
  if (stale > 0) parts.push(`${stale} from before something was erased; gone once a fresh one stands`);
  if (sameDisk === true)
    parts.push(`on the same disk as the data (${folder}): set BREATHLINE_BACKUP to a folder on another`);
  return parts.join('; ');
}

/** Good: there is one, it is young, and the last try did not fail. */
export function backupFact(backup: BackupAnswer | null, nowMs: number): Fact {
  if (backup === null) return { id: 'copy', says: 'Copy of the store: not known yet', ok: null };
  const { last, problem, waiting } = backup;
  const ok =
    problem !== null ? false : last === null ? (waiting ? null : false) : nowMs - Date.parse(last.madeAt) <= OLD_MS;
  return { id: 'copy', says: says(backup, nowMs), ok };
}
