/**
 * The mutable heart of one run: flat arrays for what changes every step, short lists for what people did. Everything
 * here can be copied, restored and hashed; nothing here knows about logs, queues or undo.
 */
import { applyInput, copyState, createVitals, readVitals, stepPatient, touchedState } from '@breathline/patient';
import type { Finding, PatientState, TrueVitals } from '@breathline/patient';
import type { Derived } from '../types.ts';
import { STEP_MS } from '../types.ts';
import { startDevices, stepDevices } from '../devices/devices.ts';
import type { ArrestBy } from '../live/arrest.ts';
import { askAboutArrest, mayArrest } from '../live/apply.ts';
import { stepResults, type Sample } from '../results/results.ts';
import { enterStartStates, stepMachine } from '../machine/machine.ts';
import { StateHash, streamSeed } from './noise.ts';
import { DEVICES, I, N, T } from './layout.ts';
import { applyMasks, stepScripts } from './masks.ts';
import type { Plan } from './plan.ts';

export interface DoseGiven {
  readonly seq: number;
  readonly intervention: string;
  /** When it happened in the room. */
  readonly atMs: number;
  readonly amount: number | null;
  /** Share of the pack's dose; NaN when the pack has no dose for it. */
  readonly share: number;
}

export interface AssessmentMade {
  readonly seq: number;
  readonly intervention: string;
  readonly atMs: number;
}

export interface Revealed {
  readonly seq: number;
  readonly atMs: number;
  readonly finding: Finding;
}

/** A copy of a run's state at one moment. Opaque to callers. */
export interface CoreSnapshot {
  readonly clockMs: number;
  readonly ints: Int32Array;
  readonly nums: Float64Array;
  readonly patient: PatientState;
  readonly doses: readonly DoseGiven[];
  readonly assessed: readonly AssessmentMade[];
  readonly revealed: readonly Revealed[];
  readonly faults: readonly string[];
  readonly samples: readonly Sample[];
}

export class RunCore {
  readonly ints: Int32Array;
  readonly nums: Float64Array;
  patient: PatientState;
  /** What the model says. */
  readonly modelVitals: TrueVitals = createVitals();
  private readonly maskedVitals: TrueVitals = createVitals();
  /** What is effective: the model under scripts and overrides. Guards, devices and danger times read this. */
  vitals: TrueVitals = this.modelVitals;
  /** Thread states as they were when the step began: what `state` conditions read. */
  readonly startStates: Int32Array;
  doses: DoseGiven[] = [];
  assessed: AssessmentMade[] = [];
  revealed: Revealed[] = [];
  faults: string[] = [];
  /** Tests asked for: on their way or answered. */
  samples: Sample[] = [];
  /** Whether the model's own heart had stopped by the last step. */
  private patientArrested = false;
  /** Whether each watched condition holds now. */
  readonly watchedNow: boolean[] = [];
  /** Where derived facts go; null while a past is being recomputed. */
  sink: ((derived: Derived) => void) | null;
  /** Told which rule of which state was taken; not while a past is being recomputed. */
  onRule: ((thread: string, state: string, index: number) => void) | undefined;

  constructor(
    readonly plan: Plan,
    sink: ((derived: Derived) => void) | null,
    readonly arrestBy: ArrestBy = 'faculty',
  ) {
    this.sink = sink;
    this.ints = new Int32Array(plan.intsLength);
    this.nums = new Float64Array(plan.numsLength);
    this.startStates = new Int32Array(plan.threads.length);
    this.patient = copyState(plan.settled);
    this.ints.fill(-1, plan.accumulatorBase);
    this.ints[I.take] = 1;
    for (let device = 0; device < DEVICES.length; device++) {
      this.ints[I.noise + device] = streamSeed(plan.definition.seed, device);
    }
    applyInput(plan.model, this.patient, { kind: 'posture', posture: plan.definition.scenario.startPosture });
    for (const fault of plan.faults) this.fault(fault);
    this.refreshVitals();
    enterStartStates(this);
    this.refreshVitals();
    startDevices(this);
    if (plan.watched.length > 0) this.watch();
  }

  get clockMs(): number {
    return this.ints[I.clockMs]!;
  }

  /** Records a fault once; the run goes on. */
  fault(message: string): void {
    if (this.faults.includes(message) || this.faults.length >= 200) return;
    this.faults.push(message);
    this.sink?.({ kind: 'fault', atMs: this.clockMs, message });
  }

  /** Reads the model and lays scripts and overrides over it. */
  refreshVitals(): void {
    readVitals(this.plan.model, this.patient, this.modelVitals);
    if (this.ints[I.activeMasks] === 0 && this.ints[I.activeScripts] === 0) {
      this.vitals = this.modelVitals;
    } else {
      applyMasks(this, this.modelVitals, this.maskedVitals);
      this.vitals = this.maskedVitals;
    }
  }

  /**
   * One step of STEP_MS. Order: guards read the values of the step's start and transitions are taken; cues fall due;
   * the patient moves on; scripts and masks are laid over; devices measure.
   */
  step(): void {
    const { ints, plan } = this;
    stepMachine(this);
    if (ints[I.patientFailed] === 0) stepPatient(plan.model, this.patient, STEP_MS);
    ints[I.clockMs]! += STEP_MS;
    if (ints[I.activeScripts] !== 0) stepScripts(this);
    this.refreshVitals();
    if (this.modelVitals.arrested >= 0.5 && !this.patientArrested && !mayArrest(this)) {
      askAboutArrest(this);
      this.refreshVitals();
    }
    this.patientArrested = this.modelVitals.arrested >= 0.5;
    this.nums[N.beats]! += (this.vitals.heartRatePerMin * STEP_MS) / 60_000;
    this.nums[N.breaths]! += (this.vitals.respiratoryRatePerMin * STEP_MS) / 60_000;
    stepDevices(this);
    if (this.samples.length > 0) stepResults(this);
    const arrested = this.vitals.arrested >= 0.5 ? 1 : 0;
    if (arrested !== ints[I.arrested]) {
      ints[I.arrested] = arrested;
      this.sink?.({ kind: 'arrest', atMs: this.clockMs, on: arrested === 1 });
    }
    if (this.clockMs % 1000 === 0) this.checkPatient();
    if (plan.watched.length > 0) this.watch();
  }

  /** Evaluates the caller's own conditions on the present moment. */
  private watch(): void {
    const { plan } = this;
    for (let k = 0; k < plan.threads.length; k++) {
      this.startStates[k] = this.ints[plan.threadBase + k * T.size + T.state]!;
    }
    for (let i = 0; i < plan.watched.length; i++) this.watchedNow[i] = plan.watched[i]!.evaluate(this);
  }

  /** A model that stops making sense is frozen and said to be, instead of spreading nonsense. */
  private checkPatient(): void {
    if (this.ints[I.patientFailed] !== 0) return;
    const v = this.modelVitals;
    const sum = v.heartRatePerMin + v.spo2Percent + v.meanMmHg + v.paco2MmHg + v.respiratoryRatePerMin + v.pao2MmHg;
    if (Number.isFinite(sum)) return;
    this.ints[I.patientFailed] = 1;
    this.fault('The patient model gave a value that is not a number; the patient is held still from here.');
  }

  snapshot(): CoreSnapshot {
    return {
      clockMs: this.clockMs,
      ints: this.ints.slice(),
      nums: this.nums.slice(),
      patient: copyState(this.patient),
      doses: this.doses.slice(),
      assessed: this.assessed.slice(),
      revealed: this.revealed.slice(),
      faults: this.faults.slice(),
      samples: this.samples.slice(),
    };
  }

  restore(from: CoreSnapshot): void {
    this.ints.set(from.ints);
    this.nums.set(from.nums);
    this.patient = copyState(from.patient);
    this.doses = from.doses.slice();
    this.assessed = from.assessed.slice();
    this.revealed = from.revealed.slice();
    this.faults = from.faults.slice();
    this.samples = from.samples.slice();
    this.refreshVitals();
    this.patientArrested = this.modelVitals.arrested >= 0.5;
  }

  /** A fixed integer hash of the complete state, bit for bit. 16 hexadecimal digits. */
  hash(): string {
    const hash = new StateHash().bits(this.ints).bits(this.nums).bits(touchedState(this.patient));
    for (const dose of this.doses)
      hash
        .int(dose.seq)
        .int(dose.atMs)
        .double(dose.amount ?? -1);
    for (const made of this.assessed) hash.int(made.seq).text(made.intervention);
    hash.int(this.revealed.length).int(this.faults.length);
    for (const sample of this.samples) hash.int(sample.seq).int(sample.dueAtMs).double(sample.values.pH);
    return hash.digest();
  }
}
