/**
 * The site's own authority and certificate as they lie in the data folder. The server's certificate is made anew, by
 * itself, when it nears its end or the machine has another address; devices that trust the authority notice nothing.
 */
import { X509Certificate } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { chmod, mkdir, open, readFile, rename } from 'node:fs/promises';
import { hostname } from 'node:os';
import path from 'node:path';
import { ConfigError, ownFiles, type Config } from '../config.ts';
import { isLoopback, lanAddresses } from '../network.ts';
import { newAuthority, newServer, permits, scopeFor, type Issued, type Scope } from './issue.ts';
import { namesOf, parseCertificate } from './read.ts';

const RENEW_MS = 30 * 86_400_000;

/** This machine's names and addresses, as devices may ask for it. */
export const ownNames = (host: string, extraHosts: readonly string[]): string[] => {
  const machine = hostname().toLowerCase();
  const names = [machine, ...(machine.includes('.') ? [] : [`${machine}.local`]), 'localhost', ...extraHosts];
  const given = isLoopback(host) || host === '0.0.0.0' || host === '::' ? [] : [host];
  return [
    ...new Set([
      ...names.filter((name) => /^[a-z0-9]([a-z0-9.-]*[a-z0-9])?$/.test(name)),
      ...given,
      ...lanAddresses(),
      '127.0.0.1',
      '::1',
    ]),
  ];
};

/** On disk whole or not at all, for this user alone. */
const keep = async (file: string, content: string): Promise<void> => {
  await mkdir(path.dirname(file), { recursive: true, mode: 0o700 });
  const half = `${file}.part`;
  const handle = await open(half, 'w', 0o600);
  try {
    await handle.writeFile(content);
    await handle.sync();
  } finally {
    await handle.close();
  }
  await chmod(half, 0o600);
  await rename(half, file);
};

interface Authority extends Issued {
  readonly scope: Scope;
}

const readAuthority = async (dataFolder: string): Promise<Authority | null> => {
  const files = ownFiles(dataFolder);
  if (!existsSync(files.authority)) return null;
  try {
    const [cert, key, scope] = await Promise.all(
      [files.authority, files.authorityKey, files.scope].map((file) => readFile(file, 'utf8')),
    );
    new X509Certificate(cert!);
    return { cert: cert!, key: key!, scope: JSON.parse(scope!) as Scope };
  } catch (error) {
    throw new ConfigError(
      `The site’s authority in ${path.dirname(files.authority)} can not be read (${error instanceof Error ? error.message : String(error)}). ` +
        'Make a new one, which every device has to trust afresh: npm run certificate -- --new-authority',
    );
  }
};

const fresh = ({ cert }: Pick<Issued, 'cert'>, now: Date): boolean =>
  new Date(new X509Certificate(cert).validTo).getTime() - now.getTime() > RENEW_MS;

const issueServer = async (
  dataFolder: string,
  authority: Authority,
  names: readonly string[],
  now: Date,
): Promise<void> => {
  const files = ownFiles(dataFolder);
  const server = await newServer(authority, names, now);
  // The key first: a certificate in place without its key would stop the next start.
  await keep(files.key, server.key);
  await keep(files.cert, server.cert);
};

export interface OwnCertificate {
  /** PEM. */
  readonly authority: string;
  readonly names: readonly string[];
  readonly scope: Scope;
  /** SHA-256 of the authority, as devices show it. */
  readonly fingerprint: string;
  /** Every device has to trust it first. */
  readonly isNew: boolean;
}

/** Makes the authority where there is none that will do, and a server certificate for this machine as it is now. */
export const makeOwnCertificate = async (
  dataFolder: string,
  wanted: readonly string[],
  options: { readonly newAuthority?: boolean; readonly now?: Date } = {},
): Promise<OwnCertificate> => {
  const { now = new Date() } = options;
  const files = ownFiles(dataFolder);
  let authority = options.newAuthority ? null : await readAuthority(dataFolder);
  const { scope } = authority ?? {};
  const isNew = authority === null || !fresh(authority, now) || !wanted.every((name) => permits(scope!, name));
  if (isNew || authority === null) {
    const reach = scopeFor(wanted);
    const made = await newAuthority(
      `Breathline on ${hostname()}, ${now.toISOString().slice(0, 10)}`.slice(0, 64),
      reach,
      now,
    );
    authority = { ...made, scope: reach };
    await keep(files.authorityKey, made.key);
    await keep(files.scope, `${JSON.stringify(reach, null, 2)}\n`);
    await keep(files.authority, made.cert);
  }
  await issueServer(dataFolder, authority, wanted, now);
  return {
    authority: authority.cert,
    names: wanted,
    scope: authority.scope,
    fingerprint: new X509Certificate(authority.cert).fingerprint256,
    isNew,
  };
};

/** Before the server reads its own certificate: made anew if it nears its end, or lacks a name the machine has now. Says what it could not add. */
export const renewOwnCertificate = async (
  dataFolder: string,
  wanted: readonly string[],
  now: Date = new Date(),
): Promise<string[]> => {
  const authority = await readAuthority(dataFolder);
  if (authority === null || new Date(new X509Certificate(authority.cert).validTo) <= now) return [];
  const may = wanted.filter((name) => permits(authority.scope, name));
  const server = await readFile(ownFiles(dataFolder).cert, 'utf8').then(parseCertificate, () => null);
  const held = server === null ? [] : namesOf(server);
  const has = (name: string) => held.includes(name) || (name === '::1' && held.includes('0:0:0:0:0:0:0:1'));
  if (server === null || !fresh({ cert: server.toString() }, now) || !may.every(has))
    await issueServer(dataFolder, authority, may, now);
  return wanted.filter((name) => !may.includes(name));
};

/** PEM of the site's own authority, to hand out; null where it serves with a certificate from elsewhere. */
export const authorityOf = ({ certificate, dataFolder }: Pick<Config, 'certificate' | 'dataFolder'>): string | null =>
  certificate?.own ? readFileSync(ownFiles(dataFolder).authority, 'utf8') : null;
