import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { MAX_FRAME_BYTES, parseClientMessage, parseCommand } from '../src/index.ts';

const command = (body: unknown, extra: object = {}) =>
  JSON.stringify({ t: 'command', clientId: 'seat-1', n: 1, command: body, ...extra });

const refusal = (frame: string | Uint8Array) => {
  const parsed = parseClientMessage(frame);
  if (parsed.ok) throw new Error('expected a refusal');
  return parsed;
};

describe('frames that are taken', () => {
  it.each([
    ['a join', JSON.stringify({ t: 'join', ticket: 'abcdefghij', lastSeq: 4 })],
    ['a ping', JSON.stringify({ t: 'ping', n: 0 })],
    ['a plain command', command({ kind: 'run-started' })],
    [
      'a dose with everything said',
      command(
        {
          kind: 'intervention',
          intervention: 'adrenaline-im',
          step: 'given',
          amount: 300,
          unit: 'micrograms',
          concentration: '1 mg in 1 mL',
          volumeMl: 0.3,
          route: 'im',
          site: 'anterolateral thigh',
          doseSeen: true,
          weightUsedKg: 23,
        },
        { agoMs: 20_000 },
      ),
    ],
    [
      'words of a debrief kept on a tablet from Friday to Monday',
      command({ kind: 'debrief-note', column: 'plus', text: 'Called early' }, { heldMs: 3 * 86_400_000 }),
    ],
    ['an undo', command({ kind: 'event-withdrawn', targetSeq: 4 })],
    ['a note in any script, with line ends', command({ kind: 'note', text: 'besser 😀\n更好\tمرحبا' })],
  ])('%s', (_name, frame) => {
    expect(parseClientMessage(frame)).toMatchObject({ ok: true, message: JSON.parse(frame) });
    expect(parseClientMessage(new TextEncoder().encode(frame))).toMatchObject({ ok: true });
  });
});

describe('frames that are refused, saying why', () => {
  it.each([
    ['not JSON', '{', 'bad-json', null],
    ['a bare number', '7', 'bad-shape', null],
    ['an unknown message', '{"t":"hack","n":3}', 'unknown-message', 3],
    ['an unknown command', command({ kind: 'teleport' }), 'unknown-command', 1],
    ['a kind that every object inherits', command({ kind: 'constructor' }), 'unknown-command', 1],
    ['half an emoji in a note', command({ kind: 'note', text: 'better \ud83d' }), 'bad-shape', 1],
    ['a control character in a note', command({ kind: 'note', text: 'a\u0000b' }), 'bad-shape', 1],
    ['a field too many', command({ kind: 'run-started', admin: true }), 'bad-shape', 1],
    ['a field too few', command({ kind: 'mark-named', label: 'x' }), 'bad-shape', 1],
    [
      'a dose in words',
      command({ kind: 'intervention', intervention: 'x', step: 'given', amount: '300', doseSeen: true }),
      'bad-shape',
      1,
    ],
    [
      'a vital that is none',
      command({ kind: 'vital-overridden', vital: '__proto__', to: 1, overMs: 0 }),
      'bad-shape',
      1,
    ],
    ['a client id with a path in it', command({ kind: 'run-started' }, { clientId: '../x' }), 'bad-shape', 1],
    ['a half tap number', command({ kind: 'run-started' }, { n: 1.5 }), 'bad-shape', null],
  ])('%s', (_name, frame, code, n) => {
    const { problem, n: found } = refusal(frame);
    expect([problem.code, found]).toEqual([code, n]);
    expect(problem.message.length).toBeGreaterThan(10);
    expect(problem.hint.length).toBeGreaterThan(5);
  });

  it('names the field, what was found and what was expected', () => {
    const { problem } = refusal(command({ kind: 'device-attached', device: 'probe' }));
    expect(problem.message).toContain('device is "probe": expected "oximeter" or "ecg"');
  });

  it('refuses one byte too many, and bytes that are not text', () => {
    expect(refusal(`"${'x'.repeat(MAX_FRAME_BYTES)}"`).problem.code).toBe('too-large');
    expect(refusal(Uint8Array.of(0x22, 0xff, 0x22)).problem.code).toBe('bad-json');
  });

  it('refuses a message nested without end', () => {
    const deep = `{"t":"command","clientId":"a","n":1,"command":${'{"a":'.repeat(4000)}1${'}'.repeat(4001)}`;
    expect(refusal(deep).problem.code).toBe('bad-shape');
  });
});

it('never throws and never takes a command with an unlisted field (property)', () => {
  fc.assert(
    fc.property(fc.json(), (text) => {
      parseClientMessage(text);
    }),
  );
  fc.assert(
    fc.property(fc.string({ minLength: 1 }), fc.jsonValue(), (key, value) => {
      fc.pre(!['kind', 'seq', '__proto__'].includes(key));
      const parsed = parseCommand({
        t: 'command',
        clientId: 'a',
        n: 1,
        command: { kind: 'cuff-pressed', [key]: value },
      });
      expect(parsed.ok).toBe(false);
    }),
  );
});
