/** Things that must not be guessed: passphrases, tokens, join codes. */
import { createHash, randomBytes, randomInt, scrypt, timingSafeEqual } from 'node:crypto';
import { promisify } from 'node:util';
import { PASSPHRASE_WORDS } from './passphrase-words.ts';

const derive = promisify<string, Buffer, number, Buffer>(scrypt);
const KEY_BYTES = 32;

/** Five words: about 40 bits, behind a limit of attempts and a slow hash. */
export const newPassphrase = (): string =>
  Array.from({ length: 5 }, () => PASSPHRASE_WORDS[randomInt(PASSPHRASE_WORDS.length)]).join(' ');

/** Capitals and spacing are forgiven. */
const plain = (passphrase: string): string =>
  passphrase
    .normalize('NFKC')
    .toLowerCase()
    .split(/[\s-]+/)
    .filter(Boolean)
    .join(' ');

export const hashPassphrase = async (passphrase: string): Promise<string> => {
  const salt = randomBytes(16);
  const key = await derive(plain(passphrase), salt, KEY_BYTES);
  return `scrypt:${salt.toString('hex')}:${key.toString('hex')}`;
};

export const passphraseMatches = async (passphrase: string, stored: string): Promise<boolean> => {
  const [kind, salt, key] = stored.split(':');
  if (kind !== 'scrypt' || !salt || !key) return false;
  const expected = Buffer.from(key, 'hex');
  const found = await derive(plain(passphrase), Buffer.from(salt, 'hex'), expected.length);
  return timingSafeEqual(found, expected);
};

/** 256 bits, for a cookie or a ticket. */
export const newToken = (): string => randomBytes(32).toString('base64url');

export const hashToken = (token: string): string => createHash('sha256').update(token).digest('hex');

/** No letter or digit that can be taken for another when read aloud or off a screen (no 0 O, 1 I L, 5 S, 2 Z, 8 B, U V). */
const CODE_ALPHABET = 'ACDEFGHJKMNPQRTWXY34679';

const newCode = (length: number): string =>
  Array.from({ length }, () => CODE_ALPHABET[randomInt(CODE_ALPHABET.length)]).join('');

/** Learners': six characters, 148 million codes, behind a limit of attempts. */
export const newJoinCode = (): string => newCode(6);

/** The crew's: eight, so that neither is ever taken for the other; 78 thousand million, behind the same limit. */
export const newCrewCode = (): string => newCode(8);

export const plainJoinCode = (code: string): string => code.toUpperCase().replace(/[^A-Z0-9]/g, '');
