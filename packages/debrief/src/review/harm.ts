/** What could have hurt the patient, when, in words. From the frozen track and the scored lines. */
import { RHYTHMS } from '@breathline/patient';
import type { RunExport } from '@breathline/engine';
import type { PreparedLog } from '../prepare-log.ts';
import { illSide, wrongSideActs } from '../target/place.ts';
import type { TargetResult } from '../types.ts';
import { interventionName } from '../words.ts';
import type { HarmEvent } from './types.ts';

/**
 * A systolic pressure so many times the upper limit of usual for the age is named. A teaching line: published hypertensive
 * crises after adrenaline overdose lie well above it.
 */
export const VERY_HIGH_FACTOR = 1.5;

const UNSAFE: ReadonlySet<string> = new Set([
  'ventricular-tachycardia',
  'pulseless-ventricular-tachycardia',
  'ventricular-fibrillation',
]);

export function harmEvents(
  run: RunExport,
  log: PreparedLog,
  results: readonly TargetResult[],
  limits: { readonly systolicLowMmHg: number; readonly systolicHighMmHg: number | null },
): readonly HarmEvent[] {
  const out: HarmEvent[] = [];
  const rows = run.track.filter(({ atMs }) => atMs <= log.endMs);
  let arrested = false;
  let high = false;
  let unsafe = false;
  for (const { atMs, true: vitals } of rows) {
    const now = vitals.arrested >= 0.5;
    if (now && !arrested) out.push({ atMs, kind: 'arrest', text: 'The circulation stopped.' });
    arrested = now;
    const ceiling = limits.systolicHighMmHg;
    const nowHigh = ceiling !== null && vitals.systolicMmHg > ceiling * VERY_HIGH_FACTOR;
    if (nowHigh && !high) {
      out.push({
        atMs,
        kind: 'very-high-pressure',
        text: `Systolic pressure ${Math.round(vitals.systolicMmHg)} mmHg.`,
      });
    }
    high = nowHigh;
    const rhythm = RHYTHMS.find(({ code }) => code === Math.round(vitals.rhythm));
    const nowUnsafe = rhythm !== undefined && UNSAFE.has(rhythm.id);
    if (nowUnsafe && !unsafe) out.push({ atMs, kind: 'unsafe-rhythm', text: `Rhythm: ${rhythm.says}.` });
    unsafe = nowUnsafe;
  }
  const standing = new Set(
    run.definition.library.interventions.filter(({ posture }) => posture === 'standing').map(({ id }) => id),
  );
  for (const act of log.acts) {
    if (!standing.has(act.intervention)) continue;
    const row = rows.findLast(({ atMs }) => atMs <= act.atMs);
    if (row !== undefined && row.true.systolicMmHg < limits.systolicLowMmHg) {
      out.push({ atMs: act.atMs, kind: 'stood-in-shock', text: 'Stood up while the pressure was low for the age.' });
    }
  }
  for (const { target } of results) {
    for (const act of wrongSideActs(run, log, target)) {
      const what = interventionName(run.definition.library, act.intervention);
      const ill = illSide(run);
      const text = `${what} on the ${ill === 'left' ? 'right' : 'left'}; the ${ill} was ill.`;
      if (!out.some((one) => one.atMs === act.atMs && one.text === text))
        out.push({ atMs: act.atMs, kind: 'wrong-side', text });
    }
  }
  for (const one of results) {
    if (one.actualMs === null) continue;
    const unsure = one.unverifiedSource ? ' Unverified: no named clinician has checked this line.' : '';
    if (one.dose?.verdict === 'critical-error') {
      out.push({ atMs: one.actualMs, kind: 'wrong-dose', text: `${one.target.says}: ${one.dose.text}${unsure}` });
    } else if (one.result === 'contraindicated-given') {
      const { interventions, says } = one.target;
      const act = log.acts.find(
        ({ intervention, atMs }) => atMs === one.actualMs && interventions.includes(intervention),
      );
      const what = interventionName(run.definition.library, act?.intervention ?? interventions[0] ?? '');
      // Left on too long is said in full: the act itself was not yet wrong when it began.
      const how = one.because !== undefined && !one.because.startsWith(`${what} at `) ? one.because : what;
      out.push({ atMs: one.actualMs, kind: 'against-guideline', text: `${how}. The guideline: “${says}”.${unsure}` });
    }
  }
  return out.sort((a, b) => a.atMs - b.atMs || (a.kind < b.kind ? -1 : 1));
}
