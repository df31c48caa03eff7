/** Each return of a screen, kept so that an outlier can be explained. */
import { cpus } from 'node:os';

/** One screen that came back after its network did. */
export interface Back {
  readonly screen: string;
  readonly ms: number;
  readonly atMinutes: number;
  readonly awayS: number;
  /** Wall time since the killed server was up again, s; null when it had not been killed yet. */
  readonly sinceRestartS: number | null;
  /** What else the machine had to do: processes that wanted a core, over the last minute. */
  readonly load: number;
}

/** Which screen it was, and what else went on: enough to tell a slow line from a machine that was busy. */
export function whyOf({ screen, ms, atMinutes, awayS, sinceRestartS, load }: Back): string {
  const server =
    sinceRestartS === null
      ? 'the server had not been killed yet'
      : sinceRestartS < 10
        ? `the server had been up again for ${sinceRestartS.toFixed(0)} s`
        : 'the server was up';
  return `${screen}, ${ms} ms at ${atMinutes.toFixed(1)} min after ${awayS.toFixed(0)} s away; ${server}; load ${load.toFixed(1)} on ${cpus().length} cores`;
}
