/**
 * The sound of one screen: pulse tone, alarms, sounds sent by faculty, a stethoscope. Everything is placed a little ahead
 * on the audio clock, at the moment the trace shows it. The console sets what is heard and how loud; this device may only
 * make it less. Browsers keep a page silent until somebody touches it: the state says so plainly.
 */
import { alarmBurst, breathPlaceAt, inspiratoryShare, pulseDelayMs, pulseToneHz } from '@breathline/signals';
import type { MonitorFrame } from '@breathline/protocol';
import type { MonitorLoop } from '../loop.ts';
import type { Loudness } from '../settings.svelte.ts';
import { apartFrom, type ScreenSite } from '../site.ts';
import { gainFor } from './loudness.ts';
import { chestVoice } from './chest.ts';
import { playSound } from './played.ts';
import { burstVoice, pulseVoice, softEdge } from './voices.ts';

/** `none`: the browser makes no sound at all. */
export type SoundState = 'none' | 'off' | 'blocked' | 'on';

/** How far ahead sounds are placed, ms on the wall. A hidden page wakes once a second. */
const AHEAD_MS = 350;
const AHEAD_HIDDEN_MS = 1500;
const EVERY_MS = 100;
/** How fast what is cut off dies away: time constant, s. */
const FADE_S = 0.004;
/** A sound sent longer ago than this (a screen that was away) is not played any more, ms of the run clock. */
const STALE_MS = 6000;
/** Until the console has said anything: quiet. */
export const QUIET: NonNullable<MonitorFrame['sound']> = { volumePercent: 35, pulseTone: true, alarms: true };
/** Pitch of a heartbeat from the leads while no probe tells the saturation, Hz. */
const PLAIN_HZ = 440;

/** What was placed and when, for tests: run clock of the beat or burst, and its moment on the audio clock. */
export interface Placed {
  readonly kind: 'pulse' | 'alarm' | 'played' | 'breath';
  readonly what: string;
  readonly runMs: number;
  readonly atS: number;
}

declare global {
  interface Window {
    __monitorSound?: { readonly placed: readonly Placed[]; readonly state: SoundState; gain(): number };
  }
}

export class MonitorAudio {
  state: SoundState = $state('blocked');
  /** The last sound sent, for the caption; null when none is sounding. */
  sounding: string | null = $state(null);
  #loop: MonitorLoop;
  #context: AudioContext | null = null;
  #master: GainNode | null = null;
  #alarmBus: GainNode | null = null;
  #bus: GainNode | null = null;
  #ears: readonly [AudioNode, AudioNode] | null = null;
  #frame: MonitorFrame | null = null;
  #loudness: Loudness = 'ward';
  #live = false;
  #site: ScreenSite | null = null;
  #epoch = -1;
  #pulsesToMs = -Infinity;
  #breathsToMs = -Infinity;
  #alarmsToMs = -Infinity;
  // Not shown anywhere: plain is enough.
  // eslint-disable-next-line svelte/prefer-svelte-reactivity
  readonly #played = new Set<number>();
  #first = true;
  #captionTimer: ReturnType<typeof setTimeout> | undefined;
  readonly #placed: Placed[] = [];

  constructor(loop: MonitorLoop) {
    this.#loop = loop;
  }

  get words(): string {
    switch (this.state) {
      case 'none':
        return 'This browser makes no sound.';
      case 'off':
        return 'No sound on this screen.';
      case 'blocked':
        return 'The browser keeps this page silent until it is touched: tap to allow sound.';
      case 'on': {
        const { volumePercent } = this.#frame?.sound ?? QUIET;
        return volumePercent <= 0 ? 'The console has turned the sound off.' : 'Sound is on.';
      }
    }
  }

  /** Call from a tap: the browser then lets the page sound. */
  async allow(): Promise<void> {
    try {
      this.#open();
      await this.#context?.resume();
    } catch {
      // Still silent: the state says so.
    }
    this.#look();
  }

  /** Begins; returns the function that ends it. */
  start(): () => void {
    const touch = (): void => {
      if (this.state === 'blocked') void this.allow();
    };
    const on = ['pointerdown', 'keydown'] as const;
    for (const name of on) document.addEventListener(name, touch, { passive: true });
    this.#open();
    void this.#context?.resume().then(
      () => this.#look(),
      () => this.#look(),
    );
    const timer = setInterval(() => this.#tick(), EVERY_MS);
    const hook = { placed: this.#placed, gain: () => this.#master?.gain.value ?? 0 };
    Object.defineProperty(hook, 'state', { get: () => this.state });
    window.__monitorSound = hook as unknown as NonNullable<Window['__monitorSound']>;
    return () => {
      clearInterval(timer);
      clearTimeout(this.#captionTimer);
      for (const name of on) document.removeEventListener(name, touch);
      void this.#context?.close();
      this.#context = null;
    };
  }

  /** News: a frame, how loud this device may be, and whether what is drawn is live. */
  hear(frame: MonitorFrame | null, loudness: Loudness, live: boolean, site: ScreenSite | null = null): void {
    this.#site = site;
    this.#frame = frame;
    this.#loudness = loudness;
    this.#live = live;
    this.#look();
    if (!frame || frame.blank) {
      if (frame?.blank) this.#hush();
      return;
    }
    this.#level();
    this.#playNew(frame);
  }

  #open(): void {
    if (this.#context) return;
    if (typeof AudioContext === 'undefined') {
      this.state = 'none';
      return;
    }
    const context = new AudioContext({ latencyHint: 'interactive' });
    context.onstatechange = () => this.#look();
    this.#context = context;
    this.#master = context.createGain();
    this.#master.gain.value = 0;
    this.#master.connect(softEdge(context, context.destination));
    this.#wire();
    this.#look();
  }

  /** Fresh buses: whatever was placed on the old ones is heard no more. */
  #wire(): void {
    const context = this.#context;
    if (!context || !this.#master) return;
    for (const old of [this.#bus, this.#alarmBus]) {
      if (!old) continue;
      // Cut off at once it would click.
      old.gain.setTargetAtTime(0, context.currentTime, FADE_S);
      setTimeout(() => old.disconnect(), 20 * FADE_S * 1000);
    }
    this.#bus = context.createGain();
    this.#bus.connect(this.#master);
    this.#alarmBus = context.createGain();
    this.#alarmBus.connect(this.#master);
    this.#ears = ([-1, 1] as const).map((pan) => {
      const ear = context.createStereoPanner();
      ear.pan.value = pan * 0.9;
      ear.connect(this.#bus!);
      return ear;
    }) as unknown as readonly [AudioNode, AudioNode];
  }

  #hush(): void {
    this.#wire();
    this.sounding = null;
    this.#pulsesToMs = this.#breathsToMs = this.#alarmsToMs = -Infinity;
  }

  #look(): void {
    if (this.state === 'none') return;
    if (this.#loudness === 'off') this.state = 'off';
    else this.state = this.#context?.state === 'running' ? 'on' : 'blocked';
  }

  #level(): void {
    const context = this.#context;
    if (!context || !this.#master || !this.#alarmBus) return;
    const sound = this.#frame?.sound ?? QUIET;
    this.#master.gain.setTargetAtTime(
      gainFor(sound.volumePercent, this.#loudness, this.#site, this.#frame?.inSitu),
      context.currentTime,
      0.03,
    );
    const paused = (this.#frame?.alarm?.pausedUntilMs ?? -1) > (this.#frame?.clockMs ?? 0);
    this.#alarmBus.gain.setTargetAtTime(sound.alarms && !paused ? 1 : 0, context.currentTime, 0.02);
  }

  #playNew(frame: MonitorFrame): void {
    for (const { seq, sound, atMs } of frame.playing ?? []) {
      if (this.#played.has(seq)) continue;
      this.#played.add(seq);
      if (frame.clockMs - atMs > STALE_MS || (this.#first && frame.clockMs - atMs > 1000)) continue;
      const context = this.#context;
      const atS = context ? context.currentTime + 0.05 : 0;
      const lengthS = context && this.#bus && this.state === 'on' ? playSound(context, this.#bus, atS, sound) : null;
      this.#note({ kind: 'played', what: sound, runMs: atMs, atS });
      this.sounding = sound;
      clearTimeout(this.#captionTimer);
      this.#captionTimer = setTimeout(() => (this.sounding = null), Math.max(5, lengthS ?? 0) * 1000);
    }
    this.#first = false;
  }

  #note(placed: Placed): void {
    this.#placed.push(placed);
    if (this.#placed.length > 400) this.#placed.splice(0, 200);
  }

  #tick(): void {
    const startMs = performance.now();
    const { playout, traces, alarms } = this.#loop;
    const context = this.#context;
    const frame = this.#frame;
    const head = playout.headAt(startMs);
    const clock = playout.clockAt(startMs);
    if (this.#loop.epoch !== this.#epoch) {
      this.#epoch = this.#loop.epoch;
      this.#hush();
    }
    if (
      !context ||
      this.state !== 'on' ||
      !frame ||
      frame.blank ||
      frame.phase !== 'running' ||
      !this.#live ||
      !traces ||
      head === null ||
      clock === null
    ) {
      this.#pulsesToMs = this.#breathsToMs = this.#alarmsToMs = -Infinity;
      return;
    }
    const ahead = (document.hidden ? AHEAD_HIDDEN_MS : AHEAD_MS) * playout.speed;
    const nowS = context.currentTime;
    // What is placed now leaves the loudspeaker later by this; the eye must see it then.
    const lateS = Math.min(0.3, context.outputLatency || context.baseLatency || 0);
    const moment = (runMs: number, fromMs: number): number => nowS + (runMs - fromMs) / playout.speed / 1000 - lateS;
    const sound = frame.sound ?? QUIET;
    if (sound.pulseTone) this.#pulses(context, frame, head, head + ahead, moment);
    if (frame.chest) this.#breaths(context, frame, head, head + ahead, moment);
    if (sound.alarms) {
      const from = Math.max(this.#alarmsToMs, clock - 100);
      for (const burst of alarms.burstsBetween(from, clock + ahead, playout.speed)) {
        const atS = Math.max(nowS, moment(burst.atMs, clock));
        const usual = alarmBurst(burst.priority);
        const fundamentalHz = apartFrom(usual.fundamentalHz, this.#site?.wardAlarmHz ?? null);
        burstVoice(context, this.#alarmBus!, atS, { ...usual, fundamentalHz });
        this.#note({ kind: 'alarm', what: burst.priority, runMs: burst.atMs, atS });
      }
      this.#alarmsToMs = clock + ahead;
    }
    this.#loop.worked(startMs);
  }

  #pulses(
    context: AudioContext,
    frame: MonitorFrame,
    head: number,
    toMs: number,
    moment: (runMs: number, fromMs: number) => number,
  ): void {
    const { shown } = frame;
    const leads = shown.attached.includes('ecg');
    const probe = shown.attached.includes('oximeter');
    const spo2 = probe ? shown.spo2Percent : null;
    // A probe that finds no pulse makes no tone, whatever the leads show.
    const heard = probe ? spo2 !== null : leads;
    // With the leads on the tone is at the R wave drawn; without, at the foot of the pulse.
    const delay = leads ? 0 : pulseDelayMs(frame.ageYears, shown.plethFraction);
    const from = Math.max(this.#pulsesToMs, head);
    if (heard) {
      for (const beat of this.#loop.traces!.beats.between(from - delay, toMs - delay)) {
        if (probe && beat.pulse <= 0) continue;
        const runMs = beat.atMs + delay;
        const atS = Math.max(context.currentTime, moment(runMs, head));
        const hz = spo2 === null ? PLAIN_HZ : pulseToneHz(spo2);
        pulseVoice(context, this.#bus!, atS, hz);
        this.#note({ kind: 'pulse', what: hz.toFixed(1), runMs, atS });
      }
    }
    this.#pulsesToMs = toMs;
  }

  #breaths(
    context: AudioContext,
    frame: MonitorFrame,
    head: number,
    toMs: number,
    moment: (runMs: number, fromMs: number) => number,
  ): void {
    const { breaths } = this.#loop.traces!;
    const spasm = frame.wave.bronchospasmFraction ?? 0;
    const from = Math.max(this.#breathsToMs, head);
    for (const breath of breaths.between(from, toMs)) {
      const place = breathPlaceAt(breaths, breath.atMs + 1, spasm);
      const inspirationS =
        (place ? place.expirationStartMs - breath.atMs : breath.periodMs * inspiratoryShare(spasm)) / 1000;
      const expirationS = (place?.expirationMs ?? breath.periodMs * 0.6) / 1000;
      const atS = Math.max(context.currentTime, moment(breath.atMs, head));
      chestVoice(
        context,
        this.#ears![0],
        this.#ears![1],
        { atS, inspirationS, expirationS, size: breath.size },
        frame.chest!,
      );
      this.#note({ kind: 'breath', what: 'chest', runMs: breath.atMs, atS });
    }
    this.#breathsToMs = toMs;
  }
}
