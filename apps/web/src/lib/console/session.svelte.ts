/**
 * One console's hold on one run: the newest view, the log, taps on their way, what was last logged, and the run clock
 * as it reads now. Everything a component does goes through `tap`.
 */
import { doerOf, withAmendment, type EventBody, type RunDefinition } from '@breathline/engine';
import type { AckMessage, FacultyFrame } from '@breathline/protocol';
import type { DoseStep, GuidelinePack, Intervention } from '@breathline/scenario';
import { asApiError, RunSocket, wordsOf, type ApiError, type ConnectionState, type LeftTap } from '../api/index.ts';
import { clampAgo } from './backdate.ts';
import { interventionById, isDosed, tileName } from './catalogue.ts';
import { draftBody, draftFor, tapBody, type DoseDraft, type PackDose } from './dose.ts';
import { PageOutbox } from './outbox.ts';
import { linesNow } from './say.ts';
import { sayable, shortLetters, type Told } from './findings.ts';
import { backfill, EMPTY, hereAndNow, receive, type ConsoleData, type TrendPoint } from './frames.ts';
import { isUndoable, isUndoableKind } from './logrows.ts';
import { suggestedDose } from './suggest.ts';
import { canBackdate, settle, type Tap } from './taps.ts';
import { teamWeightKg } from './team-weight.ts';
import { lastTold, toldOf } from './told.ts';

/** The last thing logged from this screen, and how it went. */
export interface LastTap extends Tap {
  readonly state: 'sending' | 'logged' | 'refused' | 'undone';
  readonly seq: number | null;
  /** Why it was refused, and how to mend it. */
  readonly problem: string | null;
}

/** A caution the server gave on something it logged. It stays until someone answers it. */
export interface Caution {
  readonly id: number;
  readonly seq: number;
  readonly label: string;
  /** About an amount that was logged as given. */
  readonly dose: boolean;
  readonly messages: readonly string[];
}

const STEP_WORDS: Readonly<Record<DoseStep, string>> = { said: 'said', 'drawn-up': 'drawn up', given: 'given' };

function isGivenDose(command: EventBody): boolean {
  return command.kind === 'intervention' && command.step === 'given' && command.amount !== null;
}

export class ConsoleSession {
  /** May steer, start, pause and end. */
  readonly leads: boolean;
  readonly pack: GuidelinePack | undefined;
  readonly weightKg: number;
  readonly ageYears: number;

  data: ConsoleData = $state.raw(EMPTY);
  connection: ConnectionState = $state('connecting');
  /** A lasting problem; the socket has stopped trying until `retry`. */
  problem: ApiError | null = $state.raw(null);
  /** A tap has gone unanswered for too long, though the line seems to stand. */
  late = $state(false);
  taps: readonly Tap[] = $state.raw([]);
  lastTap: LastTap | null = $state.raw(null);
  cautions: readonly Caution[] = $state.raw([]);
  /** How far back the next tap is dated, ms. */
  agoMs = $state(0);
  /** The run clock as it reads now: the last frame's, carried on locally while running. */
  nowMs = $state(0);
  /** Whole seconds since the server was last heard. */
  silentS = $state(0);
  /** Taps the server has not acknowledged, those of a page that was closed among them. */
  pending = $state(0);
  readonly frame = $derived(this.data.frame);
  readonly #here = $derived(hereAndNow(this.data));
  /** The log of the take that goes on now; `data.log` has every take. */
  readonly log = $derived(this.#here.log);
  readonly derived = $derived(this.#here.derived);
  readonly view = $derived(this.data.frame?.view ?? null);
  readonly phase = $derived(this.data.frame?.view.phase ?? 'ready');
  /** Paused because someone in the room is not all right. */
  readonly notAllRight = $derived(this.phase === 'paused' && this.view?.pausedWhy === 'someone-not-all-right');
  /** Cautions that wait for an answer, newest first: none about a line that was taken back or left, none after the end. */
  readonly unanswered = $derived.by(() => {
    if (this.phase === 'ended') return [];
    return this.cautions.filter(({ seq }) => !this.isGone(seq)).toReversed();
  });
  /** The weight the team works with, as far as anybody said it, kg. */
  readonly teamWeightKg = $derived(teamWeightKg(this.log));
  /** What was said from here and no frame has brought back yet. */
  #saidHere: { readonly tap: Tap; readonly seq: number } | null = $state.raw(null);
  /** What was last said aloud, by whoever said it: from the log, or from here while it is on its way there. */
  readonly told: Told | null = $derived.by(() => {
    const seen = this.data.frame?.seq ?? 0;
    const here = this.#saidHere !== null && this.#saidHere.seq > seen ? this.#saidHere.tap : null;
    const waits = this.taps.findLast((tap) => tap.command.kind === 'findings-said' && !tap.takenBack);
    return toldOf(waits ?? here) ?? lastTold(this.log);
  });
  /** The line stands, as far as it is known. */
  readonly lineUp = $derived(this.connection === 'live' || this.connection === 'restarted');
  /** Taps are reaching the server. */
  readonly online = $derived.by(() => this.lineUp && !this.late);

  #socket: RunSocket | null = null;
  #nextId = 1;
  #frameAt = 0;
  /** Worked out once; never shown to change, so not reactive. */
  readonly #doses: Record<string, PackDose | null> = {};

  constructor(
    readonly runId: string,
    readonly definition: RunDefinition,
    /** A logger's pass: sees what faculty see and logs, but does not steer. Null: faculty, who lead. */
    readonly loggerPass: string | null = null,
  ) {
    this.leads = loggerPass === null;
    this.pack = definition.library.packs.find((pack) => pack.id === definition.packId);
    this.weightKg = definition.patient?.weightKg ?? definition.scenario.patient.weightKg;
    this.ageYears = definition.patient?.ageYears ?? definition.scenario.patient.ageYears;
  }

  /** Opens the line and keeps the clock; returns the function that ends both. */
  start(getTicket: () => Promise<string>): () => void {
    const outbox = new PageOutbox(this.runId);
    const socket = (this.#socket = new RunSocket({
      getTicket,
      outbox,
      onFrame: (frame) => {
        if (frame.t === 'faculty') this.onFrame(frame, performance.now());
      },
      onConnection: (state) => (this.connection = state),
      onProblem: (problem) => (this.problem = problem),
      onPending: (count) => (this.pending = count),
      onUnanswered: (unanswered) => (this.late = unanswered),
      onUndoRefused: (error, targetSeq) => this.#undoRefused(error, targetSeq),
    }));
    this.#takeOver(socket.left);
    const stop = socket.start();
    const leave = (): void => outbox.leave();
    window.addEventListener('pagehide', leave);
    const alive = setInterval(() => outbox.beat(), 2_000);
    const beat = setInterval(() => {
      this.tick(performance.now());
      this.silentS = Math.floor((socket.silentMs ?? 0) / 1000);
    }, 200);
    return () => {
      clearInterval(beat);
      clearInterval(alive);
      window.removeEventListener('pagehide', leave);
      outbox.leave();
      stop();
    };
  }

  /** What an earlier page of this console left waiting stands as if it had been tapped here, its undo too. */
  #takeOver(left: readonly LeftTap[]): void {
    for (const { number, command, said, undone, answered } of left) {
      const tap: Tap = {
        id: this.#nextId++,
        command: command as EventBody,
        label: said.label,
        occurredAtMs: said.atMs,
        number,
        ...(undone ? { takenBack: true } : {}),
      };
      this.taps = [...this.taps, tap];
      this.lastTap = { ...tap, state: undone ? 'undone' : 'sending', seq: null, problem: null };
      void this.#follow(tap, answered);
    }
  }

  /** Was this line taken back, or left by winding back? */
  isGone(seq: number): boolean {
    return (
      this.data.log.some(({ event }) => event.seq === seq) &&
      !this.log.some(({ event, withdrawnBy }) => event.seq === seq && withdrawnBy === null)
    );
  }

  retry(): void {
    this.#socket?.retry();
  }

  /** Moves the local clock on. */
  tick(atMs: number): void {
    if (this.#frameAt === 0 || !this.view) return;
    const since = Math.max(0, atMs - this.#frameAt);
    this.nowMs =
      this.view.phase === 'running' ? this.view.clockMs + since * (this.view.live?.speed ?? 1) : this.view.clockMs;
  }

  onFrame(frame: FacultyFrame, atMs: number): void {
    this.data = receive(this.data, frame);
    this.#frameAt = atMs;
    this.tick(atMs);
  }

  /** Puts older points before the trend, after a reload. */
  remember(points: readonly TrendPoint[]): void {
    this.data = backfill(this.data, points);
  }

  /** The pack's suggestion for an action, worked out once. */
  suggestion(item: Intervention): PackDose | null {
    const known = this.#doses[item.id];
    if (known !== undefined) return known;
    const dose = isDosed(item) ? suggestedDose(this.definition, item, this.ageYears, this.weightKg) : null;
    this.#doses[item.id] = dose;
    return dose;
  }

  intervention(id: string): Intervention | undefined {
    return interventionById(this.definition.library, id);
  }

  /**
   * Logs something that happened now, or as long ago as the backdate says; the backdate then falls back to now.
   * Resolves true once it is on the server's disk, false when refused (`lastTap` says why).
   */
  tap(command: EventBody, label: string, options: { agoMs?: number; quiet?: boolean } = {}): Promise<boolean> {
    const agoMs = canBackdate(command) ? clampAgo(options.agoMs ?? this.agoMs, this.nowMs) : 0;
    const tap: Tap = { id: this.#nextId++, command, label, occurredAtMs: this.nowMs - agoMs };
    this.agoMs = 0;
    // The line keeps it while it is down, and says how long it waited.
    const socket = this.#socket;
    if (!socket) throw new Error('This console was not started.');
    const answered = socket.send(command, {
      ...(agoMs > 0 ? { agoMs: Math.round(agoMs) } : {}),
      said: { label, atMs: tap.occurredAtMs },
    });
    const sent: Tap = { ...tap, number: socket.lastNumber };
    this.taps = [...this.taps, sent];
    if (options.quiet !== true) this.lastTap = { ...sent, state: 'sending', seq: null, problem: null };
    return this.#follow(tap, answered);
  }

  #follow(tap: Tap, answered: Promise<AckMessage>): Promise<boolean> {
    return answered.then(
      (ack) => {
        this.#acknowledged(tap, ack);
        return true;
      },
      (thrown: unknown) => {
        this.#refused(tap, asApiError(thrown));
        return false;
      },
    );
  }

  #acknowledged(tap: Tap, ack: AckMessage): void {
    const undone = this.#settled(tap);
    if (undone) return;
    if (tap.command.kind === 'findings-said') this.#saidHere = { tap, seq: ack.seq };
    if (this.lastTap?.id === tap.id) this.lastTap = { ...this.lastTap, state: 'logged', seq: ack.seq };
    if (ack.warnings.length > 0) {
      const messages = ack.warnings.map((warning) => warning.message);
      this.cautions = [
        ...this.cautions,
        { id: tap.id, seq: ack.seq, label: tap.label, dose: isGivenDose(tap.command), messages },
      ];
    }
  }

  #refused(tap: Tap, error: ApiError): void {
    const undone = this.#settled(tap);
    if (error.code === 'SCREEN_CLOSED' || undone) return;
    this.lastTap = { ...tap, state: 'refused', seq: null, problem: wordsOf(error) };
  }

  /** Takes a tap out of those that wait; returns it if it was undone meanwhile. */
  #settled({ id }: Tap): Tap | null {
    const settled = this.taps.find((tap) => tap.id === id);
    this.taps = settle(this.taps, id);
    return settled?.takenBack ? settled : null;
  }

  /** An undone tap stands on the log after all. */
  #undoRefused(error: ApiError, targetSeq: number): void {
    const command: EventBody = { kind: 'event-withdrawn', targetSeq };
    const tap: Tap = { id: this.#nextId++, command, label: 'Undo', occurredAtMs: this.nowMs };
    this.lastTap = { ...tap, state: 'refused', seq: null, problem: wordsOf(error) };
  }

  /** One tap on an action's tile. */
  give(item: Intervention, doseSeen: boolean): void {
    void this.tap(tapBody(item, this.suggestion(item), doseSeen, this.teamWeightKg), tileName(item));
  }

  /** A step of a dose, as suggested or as edited. */
  step(item: Intervention, step: DoseStep, doseSeen: boolean, draft?: DoseDraft): void {
    const body = draftBody(item, draft ?? draftFor(item, this.suggestion(item), this.teamWeightKg), step, doseSeen);
    void this.tap(body, `${tileName(item)}: ${STEP_WORDS[step]}`);
  }

  /** Takes back an event that is on the log. */
  withdraw(seq: number, label: string): void {
    void this.tap({ kind: 'event-withdrawn', targetSeq: seq }, label, { quiet: true });
    this.cautions = this.cautions.filter((caution) => caution.seq !== seq);
    if (this.lastTap?.seq === seq) this.lastTap = { ...this.lastTap, state: 'undone' };
  }

  /** Takes back a tap the server has not answered for yet. */
  takeBackWaiting(id: number): void {
    const { number } = this.taps.find((tap) => tap.id === id) ?? {};
    if (number === undefined) return;
    this.#socket?.undoWaiting(number);
    this.taps = this.taps.map((tap) => (tap.id === id ? { ...tap, takenBack: true } : tap));
    if (this.lastTap?.id === id) this.lastTap = { ...this.lastTap, state: 'undone' };
  }

  /** The newest thing an undo would take back, on the log or still waiting (`seq` is null), or null. */
  lastUndoable(): { readonly id: number | null; readonly seq: number | null; readonly label: string } | null {
    const waits = this.taps.findLast((tap) => !tap.takenBack && isUndoableKind(tap.command.kind));
    if (waits) return { id: waits.id, seq: null, label: waits.label };
    const last = this.lastTap;
    if (last?.state === 'logged' && last.seq !== null && isUndoableKind(last.command.kind)) {
      return { id: last.id, seq: last.seq, label: last.label };
    }
    const line = this.log.findLast((each) => each.withdrawnBy === null && isUndoable(each.event));
    return line ? { id: null, seq: line.event.seq, label: 'the last line of the log' } : null;
  }

  /** The dose just logged unseen was seen after all. */
  sawDose(last: LastTap): void {
    this.#amend(last, { doseSeen: true });
  }

  /** Who did what was just logged. An optional second tap; the same seat once more takes it off. */
  creditTo(last: LastTap, teamRole: string): void {
    this.#amend(last, { doneBy: doerOf(last.command) === teamRole ? null : teamRole });
  }

  /** Adds to a line that is on the log; it stays one line, at its own time. */
  #amend(last: LastTap, what: { readonly doneBy?: string | null; readonly doseSeen?: boolean }): void {
    if (last.seq === null) return;
    void this.tap({ kind: 'act-amended', targetSeq: last.seq, ...what }, last.label, { quiet: true });
    if (this.lastTap?.id === last.id) this.lastTap = { ...this.lastTap, command: withAmendment(last.command, what) };
  }

  /**
   * Faculty have said what the card shows. Nothing a team did is logged by it; what was said without their having just
   * looked is named apart, since it may have prompted what follows.
   */
  allSaid(): void {
    if (!this.view) return;
    const unasked = linesNow(this)
      .filter((line) => line.status === 'changed' || line.status === 'not-said')
      .map((line) => line.letter);
    const words = unasked.length === 0 ? 'Findings said' : `Findings said, unasked: ${shortLetters(unasked)}`;
    void this.tap({ kind: 'findings-said', said: sayable(this.view), unasked }, words);
  }

  keepCaution(id: number): void {
    this.cautions = this.cautions.filter((caution) => caution.id !== id);
  }
}
