import { X509Certificate, generateKeyPairSync } from 'node:crypto';
import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { connect, createServer } from 'node:tls';
import { once } from 'node:events';
import { isIP, type AddressInfo } from 'node:net';
import { afterAll, describe, expect, it } from 'vitest';
import { newAuthority, newServer, permits, scopeFor, type Issued } from '../src/certificate/issue.ts';
import { makeOwnCertificate, ownNames, renewOwnCertificate } from '../src/certificate/own.ts';
import { namesOf, readCertificate } from '../src/certificate/read.ts';
import { ConfigError, ownFiles, readConfig } from '../src/config.ts';

const folder = mkdtempSync(path.join(tmpdir(), 'breathline-certificate-'));
afterAll(() => rmSync(folder, { recursive: true }));
const DAY_MS = 86_400_000;
const at = (name: string) => path.join(folder, name);
const written = (name: string, content: string) => {
  writeFileSync(at(name), content);
  return at(name);
};
/** What a client that trusts `authority` says of a server with `server`, asked for as `name`. */
const handshake = async (authority: string, server: Issued, name: string): Promise<string> => {
  const listening = createServer({ cert: server.cert, key: server.key }).listen(0, '127.0.0.1');
  await once(listening, 'listening');
  const { port } = listening.address() as AddressInfo;
  const socket = connect({
    host: '127.0.0.1',
    port,
    ca: authority,
    ...(isIP(name) === 0 ? { servername: name } : {}),
    checkServerIdentity: () => undefined,
  });
  const said = await new Promise<string>((resolve) => {
    socket.once('secureConnect', () => resolve('trusted'));
    socket.once('error', (error) => resolve(error.message));
  });
  socket.destroy();
  listening.close();
  return said;
};

describe('the site’s own certificate', () => {
  it('is trusted by whoever trusts its authority, for the names and addresses it was made for', async () => {
    const names = ['drill-laptop', '192.168.1.20', '127.0.0.1', '::1'];
    const authority = await newAuthority('A', scopeFor(names));
    const server = await newServer(authority, names);
    const parsed = new X509Certificate(server.cert);
    expect(namesOf(parsed)).toEqual(['drill-laptop', '192.168.1.20', '127.0.0.1', '0:0:0:0:0:0:0:1']);
    expect(parsed.checkHost('drill-laptop')).toBe('drill-laptop');
    expect(parsed.checkIP('192.168.1.20')).toBe('192.168.1.20');
    expect(parsed.checkIP('192.168.1.21')).toBeUndefined();
    expect(parsed.verify(new X509Certificate(authority.cert).publicKey)).toBe(true);
    expect(await handshake(authority.cert, server, '127.0.0.1')).toBe('trusted');
    const stranger = await newAuthority('B', scopeFor(names));
    expect(await handshake(stranger.cert, server, '127.0.0.1')).not.toBe('trusted');
    // What phones ask of a server certificate.
    expect(new Date(parsed.validTo).getTime() - new Date(parsed.validFrom).getTime()).toBeLessThan(399 * DAY_MS);
  });

  it('vouches for nothing outside this machine and private networks: a stolen key passes for no other site', async () => {
    const authority = await newAuthority('A', scopeFor(['drill-laptop', '198.51.100.7']));
    for (const name of ['bank.example.org', '203.0.113.9', '2001:db8::1']) {
      const forged = await newServer(authority, [name]);
      expect([name, await handshake(authority.cert, forged, name)]).toEqual([name, 'permitted subtree violation']);
    }
    for (const name of ['drill-laptop', '10.9.8.7', '172.31.0.1', '198.51.100.99', 'fd00::7']) {
      expect([name, await handshake(authority.cert, await newServer(authority, [name]), name)]).toEqual([
        name,
        'trusted',
      ]);
    }
  });

  it('knows what its authority may vouch for', () => {
    const scope = scopeFor(['drill-laptop', 'drill-laptop.local', '198.51.100.7', '10.0.0.4']);
    expect(scope.networks.filter((network) => network.startsWith('198') || network === '10.0.0.4')).toEqual([
      '198.51.0.0/16',
    ]);
    for (const name of ['localhost', 'drill-laptop', 'a.drill-laptop.local', '192.168.77.1', '198.51.9.9', 'fe80::1'])
      expect([name, permits(scope, name)]).toEqual([name, true]);
    for (const name of ['not-drill-laptop', 'local', '198.52.0.1', '172.32.0.1', '2001:db8::1'])
      expect([name, permits(scope, name)]).toEqual([name, false]);
  });

  it('lies in the data folder, keys for this user alone, and is found by the next start', async () => {
    const data = at('data');
    expect(readConfig({ BREATHLINE_DATA: data }, '0').certificate).toBeNull();
    const names = ownNames('0.0.0.0', ['drills.example.org']);
    const made = await makeOwnCertificate(data, names);
    expect(made).toMatchObject({ isNew: true, names });
    const files = ownFiles(data);
    for (const file of [files.key, files.authorityKey]) expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(statSync(files.folder).mode & 0o777).toBe(0o700);
    const { certificate } = readConfig({ BREATHLINE_DATA: data }, '0');
    expect(readCertificate(certificate!).names).toEqual(
      expect.arrayContaining(['drills.example.org', 'localhost', '127.0.0.1']) as unknown,
    );
    // Made once more, devices need not be visited again.
    expect(await makeOwnCertificate(data, names)).toMatchObject({ isNew: false, fingerprint: made.fingerprint });
    expect((await makeOwnCertificate(data, names, { newAuthority: true })).fingerprint).not.toBe(made.fingerprint);
  });

  it('is made anew by itself when it nears its end or the machine has another address, by the same authority', async () => {
    const data = at('moving');
    await makeOwnCertificate(data, ['drill-laptop', '192.168.1.20']);
    const held = (now = new Date()) =>
      readCertificate({ certFile: ownFiles(data).cert, keyFile: ownFiles(data).key, own: true }, now);
    const first = held().cert;
    expect(await renewOwnCertificate(data, ['drill-laptop', '192.168.1.20', '::1'])).toEqual([]);
    expect(held().names).toContain('0:0:0:0:0:0:0:1');
    const second = held().cert;
    expect(second).not.toBe(first);
    expect(await renewOwnCertificate(data, ['drill-laptop', '192.168.1.20', '::1'])).toEqual([]);
    expect(held().cert).toBe(second);
    const nextYear = new Date(Date.now() + 380 * DAY_MS);
    expect(await renewOwnCertificate(data, ['drill-laptop'], nextYear)).toEqual([]);
    expect(held(nextYear).cert).not.toBe(second);
    // Beyond its authority: said, and left out.
    expect(await renewOwnCertificate(data, ['drill-laptop', '203.0.113.9'])).toEqual(['203.0.113.9']);
  });
});

describe('a certificate that can not be used', () => {
  const complaint = (certFile: string, keyFile: string, now?: Date): string => {
    try {
      readCertificate({ certFile, keyFile, own: false }, now);
    } catch (error) {
      expect(error).toBeInstanceOf(ConfigError);
      return (error as Error).message;
    }
    return 'nothing was said';
  };

  it('is told of in words: what, where, how to mend', async () => {
    const authority = await newAuthority('A', scopeFor(['drill-laptop']));
    const one = await newServer(authority, ['drill-laptop']);
    const other = await newServer(authority, ['drill-laptop']);
    const locked = generateKeyPairSync('rsa', {
      modulusLength: 2048,
      publicKeyEncoding: { type: 'spki', format: 'pem' },
      privateKeyEncoding: { type: 'pkcs8', format: 'pem', cipher: 'aes-256-cbc', passphrase: 'x' },
    }).privateKey;
    const [cert, key, otherKey, none, lockedKey] = [
      written('one.pem', one.cert),
      written('one-key.pem', one.key),
      written('other-key.pem', other.key),
      written('list.txt', 'bread, milk'),
      written('locked.pem', locked),
    ];
    expect(readCertificate({ certFile: cert, keyFile: key, own: false }).names).toEqual(['drill-laptop']);
    expect(complaint(at('gone.pem'), key)).toMatch(/gone\.pem can not be read \(ENOENT\).*BREATHLINE_CERT/);
    expect(complaint(cert, at('gone-key.pem'))).toMatch(/key .*gone-key\.pem can not be read \(ENOENT\)/);
    expect(complaint(none, key)).toMatch(/list\.txt holds none in PEM form \(expected/);
    expect(complaint(cert, none)).toMatch(/list\.txt holds no private key in PEM form \(expected/);
    expect(complaint(cert, lockedKey)).toMatch(/locked with a passphrase/);
    expect(complaint(cert, otherKey)).toMatch(/one\.pem and the key .*other-key\.pem do not belong together/);
    expect(complaint(cert, key, new Date(Date.now() + 500 * DAY_MS))).toMatch(/one\.pem ran out on \d+ \w+ 20\d\d\./);
    expect(complaint(cert, key, new Date(Date.now() - 9 * DAY_MS))).toMatch(/is good from .* only.*clock/);
    expect(() => readConfig({ BREATHLINE_CERT: cert }, '0')).toThrow(
      /BREATHLINE_CERT is set and BREATHLINE_KEY is not/,
    );
  });
});
