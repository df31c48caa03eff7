/** How long a debrief and a programme page take to compute. Promises: 1 s, 1 s, and 300 ms for a what-if. */
import { programmeReport, buildTimeline, reviewRun, runSummary, scoreRun, type RunSummary } from '@breathline/debrief';
import { buildExport, whatIf, type RunEvent } from '@breathline/engine';
import { aRun } from '../reference/a-run.ts';

interface Figure {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly baseline: number;
  readonly ratio: number;
}

const best = (work: () => void, times = 3): number => {
  let least = Infinity;
  for (let i = 0; i < times; i++) {
    const start = process.cpuUsage();
    work();
    const used = process.cpuUsage(start);
    least = Math.min(least, (used.user + used.system) / 1000);
  }
  return least;
};

/** A run of a shipped scenario drawn out to thirty minutes, with notes and looks up to 500 events. */
function longRun() {
  const run = aRun();
  const last = 1_800_000;
  const events = run.events.filter(({ kind }) => kind !== 'run-ended');
  const looks = run.definition.library.interventions.filter(({ kind }) => kind === 'assessment');
  let seq = events.reduce((most, event) => Math.max(most, event.seq), 0);
  const more: RunEvent[] = [];
  while (events.length + more.length < 499) {
    const at = Math.floor((more.length * last) / 500 / 100) * 100;
    const by = { role: 'lead' } as const;
    const base = { seq: ++seq, take: 1, appliedAtMs: at, occurredAtMs: at, wallTime: '', by };
    const look = looks[more.length % looks.length]!;
    more.push(
      more.length % 2 === 0
        ? { ...base, kind: 'assessment', intervention: look.id }
        : { ...base, kind: 'note', text: 'something said' },
    );
  }
  const end = {
    seq: seq + 1,
    take: 1,
    appliedAtMs: last,
    occurredAtMs: last,
    wallTime: '',
    by: { role: 'lead' },
  } as const;
  const all = [...events, ...more].sort((a, b) => a.appliedAtMs - b.appliedAtMs || a.seq - b.seq);
  return buildExport({
    runId: 'long',
    createdAt: run.createdAt,
    definition: run.definition,
    events: [...all, { ...end, kind: 'run-ended', why: 'over' }],
  });
}

export default async function bench(): Promise<Figure[]> {
  const run = longRun();
  const copy = best(() => void structuredClone(run));
  const debrief = best(() => {
    const card = scoreRun(run);
    buildTimeline(run, card);
    reviewRun(run, { card });
  });
  const dose = run.events.find((event) => event.kind === 'intervention' && event.intervention === 'adrenaline-im')!;
  const edit = [{ kind: 'move', seq: dose.seq, byMs: 60_000 }] as const;
  const answer = best(() => void whatIf(aTen, edit), 2);
  const summary = runSummary(run, scoreRun(run));
  const stored: RunSummary[] = Array.from({ length: 10_000 }, (_, i) => ({
    ...summary,
    runId: `r${i}`,
    ward: `Ward ${i % 40}`,
    at: `20${20 + (i % 6)}-${String(1 + (i % 12)).padStart(2, '0')}-${String(1 + (i % 28)).padStart(2, '0')}T10:00:00Z`,
    adrenalineMs: i % 11 === 0 ? null : (i * 7919) % 600_000,
  }));
  const sort = best(() => void [...stored].sort((a, b) => (a.at < b.at ? -1 : 1)));
  const page = best(() => void programmeReport(stored, { now: '2026-11-25T00:00:00Z', groupBy: 'ward' }));
  return [
    {
      name: `debrief: score, timeline and review of 30 minutes and ${run.events.length} events (copying it)`,
      value: debrief,
      unit: 'ms',
      baseline: copy,
      ratio: debrief / copy,
    },
    {
      name: 'debrief: what-if of a run with ranges over the uncertain constants (copying it)',
      value: answer,
      unit: 'ms',
      baseline: copy,
      ratio: answer / copy,
    },
    {
      name: 'programme: page over 10,000 stored runs (sorting them)',
      value: page,
      unit: 'ms',
      baseline: sort,
      ratio: page / sort,
    },
  ];
}

const aTen = aRun();
