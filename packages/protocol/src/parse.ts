/** Reads what a screen sent. Never throws: the answer is the message, or a refusal to send back. */
import { Type, type TSchema } from '@sinclair/typebox';
import { check } from './check.ts';
import { problem, type ErrorCode, type Problem } from './errors.ts';
import { oddTextAt, oddTextMessage } from './plain-text.ts';
import { BODY_SCHEMAS, COMMAND_ENVELOPE, JoinSchema, PingSchema } from './schemas-events.ts';
import { closed } from './schemas-shared.ts';
import { MAX_FRAME_BYTES, type ClientMessage, type CommandMessage } from './types.ts';

export type Parsed<T> =
  | { readonly ok: true; readonly message: T }
  /** `n`: the tap's own number where it could be read, so that the screen knows which tap was refused. */
  | { readonly ok: false; readonly problem: Problem; readonly n: number | null };

/** No message needs more; deeper nesting is hostile. */
const MAX_DEPTH = 12;

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const tooDeep = (value: unknown, left: number): boolean => {
  if (typeof value !== 'object' || value === null) return false;
  if (left === 0) return true;
  return Object.values(value).some((inner) => tooDeep(inner, left - 1));
};

const numberOf = (value: unknown): number | null => {
  const n = isRecord(value) ? value['n'] : null;
  return typeof n === 'number' && Number.isSafeInteger(n) && n >= 0 ? n : null;
};

const refuse = (code: ErrorCode, n: number | null, message?: string): Parsed<never> => ({
  ok: false,
  problem: problem(code, message),
  n,
});

const EnvelopeSchema: TSchema = closed({ ...COMMAND_ENVELOPE, command: Type.Unknown() });

/** Checks a command already read as JSON (an HTTP body, or a socket frame). */
export const parseCommand = (value: unknown): Parsed<CommandMessage> => {
  const n = numberOf(value);
  if (tooDeep(value, MAX_DEPTH)) return refuse('bad-shape', n, 'The message is nested too deeply.');
  const envelope = check(EnvelopeSchema, value);
  if (!envelope.ok) return refuse('bad-shape', n, envelope.message);
  const command = (value as { command: unknown }).command;
  const kind = isRecord(command) ? command['kind'] : undefined;
  if (typeof kind !== 'string') return refuse('bad-shape', n, 'command.kind is missing: expected the kind of command.');
  if (!Object.hasOwn(BODY_SCHEMAS, kind)) {
    return refuse('unknown-command', n, `There is no command "${kind.slice(0, 60)}".`);
  }
  const body = check(BODY_SCHEMAS[kind as keyof typeof BODY_SCHEMAS], command);
  if (!body.ok) return refuse('bad-shape', n, `In "${kind}": ${body.message}`);
  const odd = oddTextAt(command);
  if (odd !== null) return refuse('bad-shape', n, `In "${kind}": ${oddTextMessage(odd)}`);
  return { ok: true, message: value as CommandMessage };
};

const decode = (frame: string | Uint8Array): string | null => {
  if (typeof frame === 'string') return frame;
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(frame);
  } catch {
    return null;
  }
};

/** Reads one socket frame, text or bytes. */
export const parseClientMessage = (frame: string | Uint8Array): Parsed<ClientMessage> => {
  const size = typeof frame === 'string' ? frame.length : frame.byteLength;
  if (size > MAX_FRAME_BYTES)
    return refuse('too-large', null, `The message has ${size} bytes; ${MAX_FRAME_BYTES} is the most.`);
  const text = decode(frame);
  if (text === null) return refuse('bad-json', null, 'The message is not UTF-8 text.');
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return refuse('bad-json', null);
  }
  if (!isRecord(value)) return refuse('bad-shape', null, 'The message is not a JSON object.');
  const n = numberOf(value);
  switch (value['t']) {
    case 'command':
      return parseCommand(value);
    case 'join':
    case 'ping': {
      const checked = check(value['t'] === 'join' ? JoinSchema : PingSchema, value);
      return checked.ok
        ? { ok: true, message: value as unknown as ClientMessage }
        : refuse('bad-shape', n, checked.message);
    }
    default:
      return refuse('unknown-message', n);
  }
};
