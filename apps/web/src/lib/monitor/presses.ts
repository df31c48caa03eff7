/** What learners may press at the bed, as commands and words. Pure. */
import type { CommandBody, MonitorFrame } from '@breathline/protocol';

/** How long one press quiets the alarms, ms of the run clock. */
export const SILENCE_MS = 120_000;

export interface Press {
  readonly id: string;
  readonly words: string;
  readonly command: CommandBody;
  /** Why it would do nothing now; null when it would. */
  readonly idle: string | null;
}

type Device = MonitorFrame['shown']['attached'][number];

const DEVICES: readonly { readonly id: Device; readonly on: string }[] = [
  { id: 'oximeter', on: 'Put the oximeter on' },
  { id: 'ecg', on: 'Put the ECG leads on' },
  { id: 'bp-cuff', on: 'Put the cuff on' },
  { id: 'capnography', on: 'Connect the capnograph' },
  { id: 'thermometer', on: 'Take the temperature' },
  { id: 'glucose-meter', on: 'Take a glucose' },
];

/** The presses offered now; none when faculty have not allowed any or the run is not going. */
export function pressesOf(frame: MonitorFrame): readonly Press[] {
  const { may, shown, alarm, phase } = frame;
  if (!may || (phase !== 'running' && phase !== 'ready')) return [];
  const cuffOn = shown.attached.includes('bp-cuff');
  const paused = alarm?.pausedUntilMs != null && alarm.pausedUntilMs > frame.clockMs;
  return [
    ...(may.cuff && cuffOn
      ? [
          {
            id: 'cuff',
            words: 'Cuff now',
            command: { kind: 'cuff-pressed' } as const,
            idle: shown.cuff.inflating ? 'The cuff is already measuring.' : null,
          },
        ]
      : []),
    ...(may.silence
      ? [
          paused
            ? {
                id: 'silence',
                words: 'Alarm sound on again',
                command: { kind: 'alarm-paused', forMs: 0 } as const,
                idle: null,
              }
            : {
                id: 'silence',
                words: 'Pause alarm sound 2 min',
                command: { kind: 'alarm-paused', forMs: SILENCE_MS } as const,
                idle: null,
              },
        ]
      : []),
    ...(may.probes
      ? DEVICES.filter(({ id }) => !shown.attached.includes(id)).map(({ id, on }) => ({
          id: `attach-${id}`,
          words: on,
          command: { kind: 'device-attached', device: id } as const,
          idle: null,
        }))
      : []),
  ];
}

/** Plain words for a press that was not taken. */
export function refusalWords(thrown: unknown): string {
  const { detail, hint, code } = (thrown ?? {}) as { detail?: string; hint?: string; code?: string };
  if (code === 'wrong-role') return 'Not allowed just now: faculty have not let learners press this. Ask faculty.';
  const words = [detail, hint].filter((part) => part !== undefined && part !== '').join(' ');
  return `Not done. ${words === '' ? 'Ask faculty.' : words}`;
}
