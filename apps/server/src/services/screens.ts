/**
 * The screens of one run: who is connected, and what each has been sent. Faculty and loggers get the log lines they lack;
 * monitors and crew phones get the whole of their small frame each time, so a lost one never matters.
 */
import type { RunEvent } from '@breathline/engine';
import {
  CrewFrameSchema,
  IN_SITU_ITEM,
  MonitorFrameSchema,
  fits,
  type ClockAnchor,
  type CrewFrame,
  type MonitorFrame,
  type Role,
  type ServerMessage,
} from '@breathline/protocol';
import { crewFrame, type OwnComment } from '../projections/crew.ts';
import { facultyFrame } from '../projections/faculty.ts';
import { monitorFrame } from '../projections/monitor.ts';
import { AlarmWatch } from './alarm-watch.ts';
import type { LiveRun } from './live-run.ts';

/** A connected screen, however it is connected. */
export interface Screen {
  readonly role: Role;
  /** Who sits there, as the log names them; of a crew phone. */
  readonly seat: string;
  send(message: ServerMessage): void;
  /** True when the last frames have not left yet: a steady frame may be skipped, a change may not. */
  congested(): boolean;
}

/** What screens of every run need from the rest of the server. */
export interface ScreenSurroundings {
  readonly nowMs: () => number;
  readonly soundCapPercent: () => number;
  /** What the site says of its drills, where a run's own board says nothing. */
  readonly inSitu: () => boolean;
  readonly pictureAddress: (file: string) => string;
}

interface Place {
  changes: number;
  derived: number;
}

/** What a crew phone was last sent, but for what moves by itself. */
interface CrewSent {
  text: string;
  atMs: number;
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
  'wound-back',
  'speed-changed',
  'sound-changed',
  'sound-played',
  'alarm-paused',
  'alarm-limit',
  'learner-controls',
  'exhibit-shown',
  'exhibit-hidden',
  'listening',
]);

/** How many faculty frames back a reconnecting screen may pick up from; older gets everything. */
const REMEMBERED = 2_000;
/** A crew phone whose page has not changed hears at least this often that the run goes on. */
const CREW_IDLE_MS = 1_000;

/** Sequences go on rising over a restart of the server, so that an old place is never mistaken for a new one. */
const firstRoleSeq = (): number => Math.floor(Date.now() / 10);

export class Screens {
  readonly run: LiveRun;
  readonly #around: ScreenSurroundings;
  readonly #places = new Map<Screen, Place>();
  readonly #crewSent = new Map<Screen, CrewSent>();
  readonly #sent = new Map<number, Place>();
  readonly #alarms = new AlarmWatch();
  /** Log lines that played a sound, in order. */
  readonly #sounds: number[] = [];
  #soundsRead = 0;
  #facultySeq = firstRoleSeq();
  #monitorSeq = firstRoleSeq();
  #crewSeq = firstRoleSeq();

  constructor(run: LiveRun, around: ScreenSurroundings) {
    this.run = run;
    this.#around = around;
  }

  get size(): number {
    return this.#places.size;
  }

  /** How many screens of each part there are. */
  counts(): { monitors: number; faculty: number; loggers: number; observers: number; participants: number } {
    const of = (role: Role) => this.#of(role).length;
    return {
      monitors: of('monitor'),
      faculty: of('faculty'),
      loggers: of('logger'),
      observers: of('observer'),
      participants: of('participant'),
    };
  }

  /** Adds a screen and sends what it lacks. */
  join(screen: Screen, lastSeq: number | undefined): void {
    const known = lastSeq === undefined ? undefined : this.#sent.get(lastSeq);
    this.#places.set(screen, known ? { ...known } : { changes: 0, derived: 0 });
    this.pushFaculty();
    if (screen.role === 'monitor') this.#sendMonitor([screen]);
    this.#pushCrew(false, [screen]);
  }

  leave(screen: Screen): void {
    this.#crewSent.delete(screen);
    if (this.#places.delete(screen)) this.pushFaculty();
  }

  /** An event was applied: say so at once, to those who may know. */
  applied(event: RunEvent): void {
    this.pushFaculty();
    if (SHOWS_ON_MONITOR.has(this.#effectOf(event).kind)) this.#sendMonitor(this.#of('monitor'));
    this.#pushCrew(true);
  }

  /** An undo shows where what it undoes would show. */
  #effectOf(event: RunEvent): RunEvent {
    const target = event.kind === 'event-withdrawn' ? this.run.log[event.targetSeq - 1] : undefined;
    return target && target !== event ? this.#effectOf(target) : event;
  }

  /** The steady frames. */
  push(): void {
    const monitors = this.#of('monitor').filter((screen) => !screen.congested());
    // Alarms go on though nobody looks, or the next to look would not know of them.
    if (monitors.length === 0 && this.run.phase === 'running') this.watch();
    if (this.size === 0) return;
    this.pushFaculty(true);
    this.#sendMonitor(monitors);
    this.#pushCrew(true);
  }

  #of(...roles: Role[]): Screen[] {
    return [...this.#places.keys()].filter((screen) => roles.includes(screen.role));
  }

  #anchor(): ClockAnchor {
    return this.run.anchor(this.#around.nowMs());
  }

  pushFaculty(steady = false): void {
    const screens = this.#of('faculty', 'logger');
    if (screens.length === 0) return;
    const { run } = this;
    const view = run.view();
    const derived = run.derived();
    this.#facultySeq += 1;
    const { monitors, faculty, loggers, observers, participants } = this.counts();
    const { joinCode, crewCode } = run.head;
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
          screens: { monitors, faculty, crew: loggers + observers + participants },
          joinCode: joinCode ?? '',
          crewCode: crewCode ?? '',
          awayMs: run.awayMs(this.#around.nowMs()),
          anchor: this.#anchor(),
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

  /** Held where real patients are: the run's own board has the last word. */
  #inSitu(): boolean {
    const tick = this.run.log.findLast((event) => event.kind === 'prebrief-item' && event.item === IN_SITU_ITEM);
    return tick?.kind === 'prebrief-item' ? tick.done : this.#around.inSitu();
  }

  /** The how-manyth sound of the run a log line is. */
  #soundNumber(seq: number): number {
    const { log } = this.run;
    for (; this.#soundsRead < log.length; this.#soundsRead += 1) {
      const event = log[this.#soundsRead];
      if (event?.kind === 'sound-played') this.#sounds.push(event.seq);
    }
    return this.#sounds.indexOf(seq) + 1;
  }

  /** The monitor's projection now. Anything that does not fit its closed schema is not sent at all. */
  monitorFrame(): MonitorFrame | null {
    this.#monitorSeq += 1;
    const frame = this.watch();
    if (fits(MonitorFrameSchema, frame)) return frame;
    console.error('A monitor frame did not fit its schema and was held back.');
    return null;
  }

  /** What a monitor would be told now; the run's alarms take note of it. */
  watch(): MonitorFrame {
    const { scenario, patient } = this.run.body.definition;
    const frame = monitorFrame({
      roleSeq: this.#monitorSeq,
      view: this.run.view(),
      learnerTitle: scenario.learnerTitle,
      ageYears: patient?.ageYears ?? scenario.patient.ageYears,
      anchor: this.#anchor(),
      exhibits: scenario.exhibits ?? [],
      pictureAddress: this.#around.pictureAddress,
      soundCapPercent: this.#around.soundCapPercent(),
      inSitu: this.#inSitu(),
      soundNumber: (seq) => this.#soundNumber(seq),
      chest: () => this.run.chest(),
    });
    const standing = this.#alarms.hear(frame);
    return frame.alarm ? { ...frame, alarm: { ...frame.alarm, standing } } : frame;
  }

  /** Phones are told when their page changes, and otherwise once a second: they run on batteries. */
  #pushCrew(ifChanged: boolean, among: readonly Screen[] = this.#of('observer', 'participant')): void {
    const screens = among.filter(({ role }) => role === 'observer' || role === 'participant');
    if (screens.length === 0) return;
    const view = this.run.view();
    const anchor = this.#anchor();
    const nowMs = this.#around.nowMs();
    for (const screen of screens) {
      const frame = crewFrame({
        roleSeq: this.#crewSeq + 1,
        role: screen.role === 'observer' ? 'observer' : 'participant',
        seat: screen.seat,
        view,
        scenario: this.run.body.definition.scenario,
        comments: this.#commentsOf(screen),
        anchor,
      });
      const text = JSON.stringify({ ...frame, roleSeq: 0, clockMs: 0, anchor: frame.anchor?.rate });
      const before = this.#crewSent.get(screen);
      const steady = before?.text === text;
      if (ifChanged && steady && (nowMs - before.atMs < CREW_IDLE_MS || screen.congested())) continue;
      if (!fits(CrewFrameSchema, frame)) {
        console.error('A crew frame did not fit its schema and was held back.');
        continue;
      }
      this.#crewSeq += 1;
      this.#crewSent.set(screen, { text, atMs: nowMs });
      screen.send(frame satisfies CrewFrame);
    }
  }

  #commentsOf({ role, seat }: Screen): OwnComment[] {
    return this.run.log.flatMap((event) =>
      event.kind === 'comment' &&
      event.by.role === role &&
      event.by.seat === seat &&
      !this.run.withdrawnBy.has(event.seq)
        ? [{ seq: event.seq, text: event.text, about: event.about ?? null, atMs: event.occurredAtMs }]
        : [],
    );
  }
}
