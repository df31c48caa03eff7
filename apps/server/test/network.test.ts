import type { NetworkInterfaceInfo } from 'node:os';
import { NetworkSchema, check } from '@breathline/protocol';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { lanAddresses, openOrigins, originOf, reachableOrigins } from '../src/network.ts';
import { makeApp, signIn } from './helpers.ts';

const v4 = (address: string, internal = false): NetworkInterfaceInfo => ({
  address,
  internal,
  family: 'IPv4',
  netmask: '255.255.255.0',
  mac: '00:00:00:00:00:00',
  cidr: `${address}/24`,
});
const MACHINE = {
  lo: [v4('127.0.0.1', true)],
  docker0: [v4('172.17.0.1')],
  eth1: [v4('169.254.7.7')],
  wlan0: [v4('192.168.1.20')],
};
const everywhere = { host: '0.0.0.0', port: 4600, secure: false };

describe('addresses other devices can open', () => {
  it('are this machine’s own on its networks; a network within the machine and a self-given address come last', () => {
    expect(lanAddresses(MACHINE)).toEqual(['192.168.1.20', '172.17.0.1', '169.254.7.7']);
    expect(reachableOrigins(everywhere, MACHINE)[0]).toBe('http://192.168.1.20:4600');
  });

  it('are none when the server listens on loopback', () => {
    for (const host of ['127.0.0.1', 'localhost', '::1', '127.0.0.2']) {
      expect(reachableOrigins({ ...everywhere, host }, MACHINE)).toEqual([]);
    }
  });

  it('is the one it was told to listen on', () => {
    expect(reachableOrigins({ ...everywhere, host: '10.1.2.3' }, MACHINE)).toEqual(['http://10.1.2.3:4600']);
    expect(openOrigins({ ...everywhere, host: '10.1.2.3' }, MACHINE)).toEqual(['http://10.1.2.3:4600']);
  });

  it('begin with https and with the names of the certificate where there is one', () => {
    // An address the certificate does not name would be refused by the device that opens it.
    expect(reachableOrigins({ ...everywhere, secure: true, names: ['drills.example.org'] }, MACHINE)).toEqual([
      'https://drills.example.org:4600',
    ]);
    expect(originOf('fd00::2', 443, true)).toBe('https://[fd00::2]');
  });

  it('go before the machine’s own when the server says what to open', () => {
    expect(openOrigins(everywhere, MACHINE)).toEqual([
      'http://192.168.1.20:4600',
      'http://172.17.0.1:4600',
      'http://169.254.7.7:4600',
      'http://127.0.0.1:4600',
    ]);
    expect(openOrigins({ ...everywhere, host: 'localhost' }, MACHINE)).toEqual(['http://127.0.0.1:4600']);
    expect(openOrigins(everywhere, { lo: [v4('127.0.0.1', true)] })).toEqual(['http://127.0.0.1:4600']);
  });
});

describe('what the server says of its addresses', () => {
  let app: Awaited<ReturnType<typeof makeApp>>;
  beforeAll(async () => {
    app = await makeApp({ HOST: '0.0.0.0' });
  });
  afterAll(() => app.dispose());

  it('is every address of this machine, and nothing to a stranger', async () => {
    const call = await signIn(app);
    const { body } = await call('GET', '/api/network');
    expect(check(NetworkSchema, body)).toMatchObject({ ok: true });
    expect(body).toEqual({
      origins: lanAddresses().map((name) => `http://${name}:4600`),
      secure: false,
      trustAt: null,
    });
    expect((await call('GET', '/api/network', undefined, {})).status).toBe(401);
  });
});
