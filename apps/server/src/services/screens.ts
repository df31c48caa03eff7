/**
 * The screens of one run: who is connected, and what each has been sent. Faculty get the log lines they lack; monitors get
 * the whole of their small frame each time, so a lost one never matters.
 */
import type { RunEvent } from '@breathline/engine';
import { MonitorFrameSchema, fits, type MonitorFrame, type Role, type ServerMessage } from '@breathline/protocol';
import { facultyFrame } from '../projections/faculty.ts';
import { monitorFrame } from '../projections/monitor.ts';
import type { LiveRun } from './live-run.ts';

/** A connected screen, however it is connected. */
export interface Screen {
  readonly role: Role;
  send(message: ServerMessage): void;
  /** True when the last frames have not left yet: a steady frame may be skipped, a change may not. */
  congested(): boolean;
}

interface Place {
  changes: number;
  derived: number;
}

/** Kinds a monitor may be told about at once. Others would show, by their timing alone, that something was logged. */
const SHOWS_ON_MONITOR: ReadonlySet<RunEvent['kind']> = new Set<RunEvent['kind']>([
  'run-started',
  'run-paused',
  'run-resumed',
  'run-ended',
  'real-emergency-stop',
  'real-emergency-cleared',
  'device-attached',
  'device-removed',
  'cuff-pressed',
  'cuff-interval',
  'vital-overridden',
  'vital-released',
]);

/** How many faculty frames back a reconnecting screen may pick up from; older gets everything. */
const REMEMBERED = 2_000;

/** Sequences go on rising over a restart of the server, so that an old place is never mistaken for a new one. */
const firstRoleSeq = (): number => Math.floor(Date.now() / 10);

export class Screens {
  readonly run: LiveRun;
  readonly #places = new Map<Screen, Place>();
  readonly #sent = new Map<number, Place>();
  #facultySeq = firstRoleSeq();
  #monitorSeq = firstRoleSeq();

  constructor(run: LiveRun) {
    this.run = run;
  }

  get size(): number {
    return this.#places.size;
  }

  /** Adds a screen and sends what it lacks. */
  join(screen: Screen, lastSeq: number | undefined): void {
    const known = lastSeq === undefined ? undefined : this.#sent.get(lastSeq);
    this.#places.set(screen, known ? { ...known } : { changes: 0, derived: 0 });
    this.pushFaculty();
    if (screen.role === 'monitor') this.#sendMonitor([screen]);
  }

  leave(screen: Screen): void {
    if (this.#places.delete(screen)) this.pushFaculty();
  }

  /** An event was applied: say so at once, to those who may know. */
  applied(event: RunEvent): void {
    this.pushFaculty();
    if (SHOWS_ON_MONITOR.has(this.#effectOf(event).kind)) this.#sendMonitor(this.#of('monitor'));
  }

  /** An undo shows where what it undoes would show. */
  #effectOf(event: RunEvent): RunEvent {
    const target = event.kind === 'event-withdrawn' ? this.run.log[event.targetSeq - 1] : undefined;
    return target && target !== event ? this.#effectOf(target) : event;
  }

  /** The steady frames. */
  push(): void {
    if (this.size === 0) return;
    this.pushFaculty(true);
    this.#sendMonitor(this.#of('monitor').filter((screen) => !screen.congested()));
  }

  #of(role: Role): Screen[] {
    return [...this.#places.keys()].filter((screen) => screen.role === role);
  }

  pushFaculty(steady = false): void {
    const screens = this.#of('faculty');
    if (screens.length === 0) return;
    const { run } = this;
    const view = run.view();
    const derived = run.derived();
    this.#facultySeq += 1;
    const counts = { monitors: this.#of('monitor').length, faculty: screens.length };
    for (const screen of screens) {
      const place = this.#places.get(screen);
      if (!place || (steady && screen.congested())) continue;
      const seqs = [...new Set(run.changes.slice(place.changes))].sort((a, b) => a - b);
      screen.send(
        facultyFrame({
          roleSeq: this.#facultySeq,
          seq: run.seq,
          view,
          log: seqs.flatMap((seq) => run.line(seq) ?? []),
          derived: derived.slice(place.derived),
          screens: counts,
          joinCode: run.head.joinCode ?? '',
        }),
      );
      place.changes = run.changes.length;
      place.derived = derived.length;
    }
    this.#sent.set(this.#facultySeq, { changes: run.changes.length, derived: derived.length });
    this.#sent.delete(this.#facultySeq - REMEMBERED);
  }

  #sendMonitor(screens: readonly Screen[]): void {
    if (screens.length === 0) return;
    const frame = this.monitorFrame();
    if (frame) for (const screen of screens) screen.send(frame);
  }

  /** The monitor's projection now. Anything that does not fit its closed schema is not sent at all. */
  monitorFrame(): MonitorFrame | null {
    const { scenario, patient } = this.run.body.definition;
    this.#monitorSeq += 1;
    const frame = monitorFrame({
      roleSeq: this.#monitorSeq,
      view: this.run.view(),
      learnerTitle: scenario.learnerTitle,
      ageYears: patient?.ageYears ?? scenario.patient.ageYears,
    });
    if (fits(MonitorFrameSchema, frame)) return frame;
    console.error('A monitor frame did not fit its schema and was held back.');
    return null;
  }
}
