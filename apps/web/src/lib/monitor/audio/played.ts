/** The sounds faculty can send, each built from noise and tones. Shapes are our own, by ear: common practice, no source. */
import type { PlayedSound } from '@breathline/signals';
import { glide, hush, type Shape } from './voices.ts';

type Maker = (context: BaseAudioContext, out: AudioNode, atS: number) => number;

const SWELL: Shape = [
  [0.25, 1],
  [0.7, 0.8],
];
const scaled = (shape: Shape, gain: number): Shape => shape.map(([share, level]) => [share, level * gain]);
const KNOCK: Shape = [[0.03, 1]];

function cough(context: BaseAudioContext, out: AudioNode, atS: number, barking: boolean): void {
  // The narrow band of a bark lets less noise through: as loud as a cough all the same.
  const louder = barking ? 2 : 1;
  hush(context, out, atS, 0.28, { type: 'bandpass', hz: barking ? 650 : 1100, q: barking ? 3 : 0.9, toHz: 500 }, [
    [0.06, 0.9 * louder],
    [0.4, 0.35 * louder],
  ]);
  glide(
    context,
    out,
    atS + 0.03,
    0.22,
    'sawtooth',
    [
      [0, barking ? 330 : 190],
      [1, barking ? 240 : 120],
    ],
    [[0.1, barking ? 0.64 : 0.14]],
    barking ? 800 : 600,
  );
}

const MAKERS: Readonly<Record<PlayedSound, Maker>> = {
  'phone-ringing': (context, out, atS) => {
    for (let ring = 0; ring < 3; ring += 1)
      for (let trill = 0; trill < 9; trill += 1)
        glide(
          context,
          out,
          atS + ring * 2.2 + trill * 0.1,
          0.095,
          'triangle',
          [[0, trill % 2 === 0 ? 940 : 1180]],
          [
            [0.1, 0.3],
            [0.8, 0.25],
          ],
        );
    return 5.4;
  },
  'knock-at-the-door': (context, out, atS) => {
    for (const at of [0, 0.22, 0.44]) {
      hush(context, out, atS + at, 0.12, { type: 'lowpass', hz: 420 }, KNOCK);
      glide(
        context,
        out,
        atS + at,
        0.1,
        'sine',
        [
          [0, 150],
          [1, 90],
        ],
        scaled(KNOCK, 0.7),
      );
    }
    return 0.7;
  },
  'suction-running': (context, out, atS) => {
    hush(context, out, atS, 4, { type: 'bandpass', hz: 1700, q: 0.7 }, [
      [0.05, 0.35],
      [0.95, 0.35],
    ]);
    for (let at = 0.3; at < 3.6; at += 0.17)
      hush(context, out, atS + at, 0.09, { type: 'bandpass', hz: 500 + 900 * ((at * 3.7) % 1), q: 5 }, [[0.3, 0.5]]);
    return 4;
  },
  'oxygen-hiss': (context, out, atS) => {
    hush(context, out, atS, 6, { type: 'highpass', hz: 3000 }, [
      [0.08, 0.22],
      [0.92, 0.22],
    ]);
    return 6;
  },
  'something-falls': (context, out, atS) => {
    for (const [at, hz, gain] of [
      [0, 2600, 0.8],
      [0.11, 3400, 0.45],
      [0.19, 2900, 0.3],
      [0.25, 3700, 0.18],
    ] as const) {
      hush(context, out, atS + at, 0.25, { type: 'bandpass', hz, q: 9 }, scaled(KNOCK, gain * 2));
      hush(context, out, atS + at, 0.06, { type: 'lowpass', hz: 600 }, scaled(KNOCK, gain));
    }
    return 0.6;
  },
  'infusion-pump': (context, out, atS) => {
    for (let at = 0; at < 4; at += 1.3)
      for (const [step, hz] of [
        [0, 698],
        [0.2, 622],
      ] as const)
        glide(
          context,
          out,
          atS + at + step,
          0.16,
          'triangle',
          [[0, hz]],
          [
            [0.1, 0.3],
            [0.9, 0.3],
          ],
        );
    return 4.3;
  },
  'crying-child': (context, out, atS) => {
    for (let cry = 0; cry < 4; cry += 1) {
      const at = atS + cry * 1.35;
      glide(
        context,
        out,
        at,
        0.95,
        'sawtooth',
        [
          [0, 380],
          [0.3, 530 - cry * 12],
          [0.75, 500],
          [1, 340],
        ],
        [
          [0.12, 0.42],
          [0.8, 0.38],
        ],
        1100,
      );
      hush(context, out, at + 1.02, 0.25, { type: 'bandpass', hz: 1500, q: 1.5 }, scaled(SWELL, 0.3));
    }
    return 5.4;
  },
  coughing: (context, out, atS) => {
    for (const at of [0, 0.4, 0.78, 1.5]) cough(context, out, atS + at, false);
    return 1.9;
  },
  'barking-cough': (context, out, atS) => {
    for (const at of [0, 0.55, 1.4]) cough(context, out, atS + at, true);
    return 1.8;
  },
  stridor: (context, out, atS) => {
    for (let breath = 0; breath < 3; breath += 1) {
      const at = atS + breath * 1.9;
      stridorVoice(context, out, at, 0.85, 0.5);
      hush(context, out, at + 0.95, 0.8, { type: 'bandpass', hz: 700, q: 0.8 }, scaled(SWELL, 0.16));
    }
    return 5.6;
  },
  wheeze: (context, out, atS) => {
    for (let breath = 0; breath < 3; breath += 1) {
      const at = atS + breath * 2.1;
      hush(context, out, at, 0.6, { type: 'bandpass', hz: 500, q: 0.8 }, scaled(SWELL, 0.2));
      wheezeVoice(context, out, at + 0.65, 1.3, 0.5);
    }
    return 6.2;
  },
  gurgling: (context, out, atS) => {
    for (let at = 0; at < 3.5; at += 0.085) {
      const hz = 260 + 420 * ((at * 7.13) % 1);
      glide(
        context,
        out,
        atS + at,
        0.08,
        'sine',
        [
          [0, hz],
          [1, hz * 1.5],
        ],
        [[0.3, 0.24 * (0.4 + Math.abs(Math.sin(at * 2.4)))]],
      );
    }
    hush(context, out, atS, 3.6, { type: 'bandpass', hz: 420, q: 1 }, [
      [0.1, 0.25],
      [0.9, 0.25],
    ]);
    return 3.6;
  },
  grunting: (context, out, atS) => {
    for (let breath = 0; breath < 5; breath += 1)
      glide(
        context,
        out,
        atS + breath * 1.05,
        0.38,
        'sawtooth',
        [
          [0, 240],
          [1, 175],
        ],
        [
          [0.08, 0.75],
          [0.6, 0.45],
        ],
        520,
      );
    return 5;
  },
  gasping: (context, out, atS) => {
    for (const at of [0, 3.6]) {
      hush(context, out, atS + at, 0.9, { type: 'bandpass', hz: 500, q: 1.2, toHz: 1300 }, [
        [0.7, 0.7],
        [0.85, 0.5],
      ]);
      hush(context, out, atS + at + 1.1, 0.9, { type: 'lowpass', hz: 500 }, scaled(SWELL, 0.2));
    }
    return 5.8;
  },
  vomiting: (context, out, atS) => {
    glide(
      context,
      out,
      atS,
      0.9,
      'sawtooth',
      [
        [0, 150],
        [0.5, 210],
        [1, 120],
      ],
      [
        [0.3, 0.4],
        [0.8, 0.3],
      ],
      650,
    );
    hush(context, out, atS + 0.5, 1.3, { type: 'lowpass', hz: 1300, toHz: 500 }, [
      [0.12, 0.9],
      [0.5, 0.4],
    ]);
    return 1.9;
  },
};

/** Harsh and high, in inspiration. */
export function stridorVoice(
  context: BaseAudioContext,
  out: AudioNode,
  atS: number,
  lengthS: number,
  gain: number,
): void {
  glide(
    context,
    out,
    atS,
    lengthS,
    'sawtooth',
    [
      [0, 440],
      [0.5, 590],
      [1, 500],
    ],
    scaled(SWELL, gain * 0.7),
    1000,
  );
  hush(context, out, atS, lengthS, { type: 'bandpass', hz: 1150, q: 6 }, scaled(SWELL, gain));
}

/** Several musical notes at once, falling a little, in expiration. */
export function wheezeVoice(
  context: BaseAudioContext,
  out: AudioNode,
  atS: number,
  lengthS: number,
  gain: number,
): void {
  for (const [hz, share] of [
    [392, 0.5],
    [523, 0.3],
    [611, 0.24],
  ] as const)
    glide(
      context,
      out,
      atS,
      lengthS,
      'triangle',
      [
        [0, hz * 1.06],
        [1, hz * 0.94],
      ],
      [
        [0.2, gain * share],
        [0.75, gain * share * 0.8],
      ],
    );
}

/** Plays a sound by name; its length in seconds, or null when the name is not one of ours. */
export function playSound(context: BaseAudioContext, out: AudioNode, atS: number, name: string): number | null {
  return Object.hasOwn(MAKERS, name) ? MAKERS[name as PlayedSound](context, out, atS) : null;
}
