/**
 * Voices: short sounds placed at a moment of an audio clock. They work the same on a live clock and on one that renders to
 * a buffer, which is how they are measured in tests. All made here from oscillators and noise; nothing is recorded.
 */
import { PULSE_TONE_MS, toneEnvelope, type AlarmBurst } from '@breathline/signals';

const CURVE_POINTS = 64;

function curve(lengthMs: number, gain: number, edgeMs: number): Float32Array {
  const points = new Float32Array(CURVE_POINTS);
  for (let i = 0; i < CURVE_POINTS; i += 1)
    points[i] = gain * toneEnvelope((i / (CURVE_POINTS - 1)) * lengthMs, lengthMs, edgeMs);
  return points;
}

function shaped(
  context: BaseAudioContext,
  out: AudioNode,
  atS: number,
  lengthMs: number,
  gain: number,
  edgeMs: number,
) {
  const level = context.createGain();
  level.gain.value = 0;
  level.gain.setValueCurveAtTime(curve(lengthMs, gain, edgeMs), atS, lengthMs / 1000);
  level.connect(out);
  return level;
}

const waves = new WeakMap<BaseAudioContext, Map<string, PeriodicWave>>();

/** A wave of partials, made once for each clock. */
function waveOf(context: BaseAudioContext, key: string, partials: AlarmBurst['partials']): PeriodicWave {
  const known = waves.get(context) ?? new Map<string, PeriodicWave>();
  waves.set(context, known);
  const found = known.get(key);
  if (found) return found;
  const most = Math.max(...partials.map((partial) => partial.multiple));
  const sines = new Float32Array(most + 1);
  for (const { multiple, dB } of partials) sines[multiple] = Math.pow(10, dB / 20);
  const made = context.createPeriodicWave(new Float32Array(most + 1), sines);
  known.set(key, made);
  return made;
}

const PULSE_PARTIALS = [
  { multiple: 1, dB: 0 },
  { multiple: 2, dB: -16 },
] as const;

/** One pulse tone. */
export function pulseVoice(context: BaseAudioContext, out: AudioNode, atS: number, hz: number): void {
  const tone = context.createOscillator();
  tone.setPeriodicWave(waveOf(context, 'pulse', PULSE_PARTIALS));
  tone.frequency.value = hz;
  const level = shaped(context, out, atS, PULSE_TONE_MS, 0.5, 12);
  tone.connect(level);
  tone.start(atS);
  tone.stop(atS + PULSE_TONE_MS / 1000);
  tone.onended = () => level.disconnect();
}

/** One alarm burst, all its pulses. Times within it are always those of the wall. */
export function burstVoice(context: BaseAudioContext, out: AudioNode, atS: number, burst: AlarmBurst): void {
  const gain = burst.priority === 'high' ? 0.5 : burst.priority === 'medium' ? 0.4 : 0.3;
  for (const pulse of burst.pulses) {
    const startS = atS + pulse.startMs / 1000;
    const tone = context.createOscillator();
    tone.setPeriodicWave(waveOf(context, burst.priority, burst.partials));
    tone.frequency.value = burst.fundamentalHz;
    const level = shaped(context, out, startS, pulse.lengthMs, gain, 20);
    tone.connect(level);
    tone.start(startS);
    tone.stop(startS + pulse.lengthMs / 1000);
    tone.onended = () => level.disconnect();
  }
}

const noises = new WeakMap<BaseAudioContext, AudioBuffer>();

/** Four seconds of white noise, the same each time. */
export function noiseOf(context: BaseAudioContext): AudioBuffer {
  const known = noises.get(context);
  if (known) return known;
  const buffer = context.createBuffer(1, context.sampleRate * 4, context.sampleRate);
  const samples = buffer.getChannelData(0);
  let state = 0x2545f491;
  for (let i = 0; i < samples.length; i += 1) {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    samples[i] = (state >>> 0) / 2_147_483_648 - 1;
  }
  noises.set(context, buffer);
  return buffer;
}

/** Level over time: pairs of share of the length (0 to 1) and gain, joined by straight lines. */
export type Shape = readonly (readonly [number, number])[];

function shapeLevel(level: GainNode, atS: number, lengthS: number, shape: Shape): void {
  level.gain.setValueAtTime(0, atS);
  for (const [share, gain] of shape) level.gain.linearRampToValueAtTime(gain, atS + Math.max(0.001, share * lengthS));
  level.gain.linearRampToValueAtTime(0, atS + lengthS);
}

/** A breath of filtered noise. */
export function hush(
  context: BaseAudioContext,
  out: AudioNode,
  atS: number,
  lengthS: number,
  filter: { readonly type: BiquadFilterType; readonly hz: number; readonly q?: number; readonly toHz?: number },
  shape: Shape,
): void {
  const source = context.createBufferSource();
  source.buffer = noiseOf(context);
  source.loop = true;
  const band = context.createBiquadFilter();
  band.type = filter.type;
  band.frequency.setValueAtTime(filter.hz, atS);
  if (filter.toHz !== undefined) band.frequency.linearRampToValueAtTime(filter.toHz, atS + lengthS);
  band.Q.value = filter.q ?? 0.8;
  const level = context.createGain();
  level.gain.value = 0;
  shapeLevel(level, atS, lengthS, shape);
  source.connect(band).connect(level).connect(out);
  // A different stretch of the noise each time, so that no two breaths are alike.
  source.start(atS, (atS * 0.731) % 3);
  source.stop(atS + lengthS);
  source.onended = () => level.disconnect();
}

/** A tone that glides through pitches (share of the length, Hz). */
export function glide(
  context: BaseAudioContext,
  out: AudioNode,
  atS: number,
  lengthS: number,
  type: OscillatorType,
  pitches: readonly (readonly [number, number])[],
  shape: Shape,
  throughHz?: number,
): void {
  const tone = context.createOscillator();
  tone.type = type;
  tone.frequency.setValueAtTime(pitches[0]![1], atS);
  for (const [share, hz] of pitches.slice(1)) tone.frequency.linearRampToValueAtTime(hz, atS + share * lengthS);
  const level = context.createGain();
  level.gain.value = 0;
  shapeLevel(level, atS, lengthS, shape);
  if (throughHz === undefined) tone.connect(level);
  else {
    const mouth = context.createBiquadFilter();
    mouth.type = 'bandpass';
    mouth.frequency.value = throughHz;
    mouth.Q.value = 1.6;
    tone.connect(mouth).connect(level);
  }
  level.connect(out);
  tone.start(atS);
  tone.stop(atS + lengthS);
  tone.onended = () => level.disconnect();
}

/** Up to here what goes in comes out; above it is bent, so that several voices at once come near full scale and never over. */
const STRAIGHT_TO = 0.7;
/** The most that is told apart at the way in. */
const EDGE_RANGE = 4;
const EDGE_POINTS = 4097;

/** The last step before the loudspeaker: takes what is to be heard, leads on to `out`. Adds no delay. */
export function softEdge(context: BaseAudioContext, out: AudioNode): AudioNode {
  const room = 1 - STRAIGHT_TO;
  const bent = new Float32Array(EDGE_POINTS);
  for (let i = 0; i < EDGE_POINTS; i += 1) {
    const level = ((2 * i) / (EDGE_POINTS - 1) - 1) * EDGE_RANGE;
    const size = Math.abs(level);
    const held = size <= STRAIGHT_TO ? size : STRAIGHT_TO + room * Math.tanh((size - STRAIGHT_TO) / room);
    bent[i] = Math.sign(level) * held;
  }
  const way = context.createGain();
  way.gain.value = 1 / EDGE_RANGE;
  const edge = context.createWaveShaper();
  edge.curve = bent;
  way.connect(edge).connect(out);
  return way;
}
