import { describe, expect, it } from 'vitest';
import { chosenOrigin, joinOrigins, typedAddress } from '../src/lib/join/addresses.ts';

const at = (address: string): Pick<Location, 'origin' | 'hostname'> => new URL(address);
const LAN = { origins: ['http://192.168.1.20:4600', 'http://10.1.2.3:4600'] };

describe('the address on a join card', () => {
  it('is never one that only the server’s own machine can open', () => {
    for (const own of [
      'http://127.0.0.1:4600',
      'http://localhost:4600',
      'http://[::1]:4600',
      'http://127.8.8.8:4600',
    ]) {
      expect(joinOrigins(at(own), LAN)).toEqual(LAN.origins);
      expect(joinOrigins(at(own), null)).toEqual([]);
    }
  });

  it('is what this page was opened by, where that is an address of the network or a name', () => {
    expect(joinOrigins(at('http://10.1.2.3:4600'), LAN)).toEqual(['http://10.1.2.3:4600', 'http://192.168.1.20:4600']);
    expect(joinOrigins(at('https://drills.example.org'), LAN)[0]).toBe('https://drills.example.org');
    expect(joinOrigins(at('http://127.example.org:4600'), null)).toEqual(['http://127.example.org:4600']);
    expect(joinOrigins(at('http://192.168.1.20:4600'), null)).toEqual(['http://192.168.1.20:4600']);
  });

  it('stays as chosen while the machine has it', () => {
    expect(chosenOrigin(LAN.origins, 'http://10.1.2.3:4600')).toBe('http://10.1.2.3:4600');
    expect(chosenOrigin(LAN.origins, 'http://10.9.9.9:4600')).toBe('http://192.168.1.20:4600');
    expect(chosenOrigin(LAN.origins, null)).toBe('http://192.168.1.20:4600');
    expect(chosenOrigin([], 'http://10.1.2.3:4600')).toBeNull();
  });

  it('is typed with its https, which a browser would not guess', () => {
    expect(typedAddress('http://192.168.1.20:4600')).toBe('192.168.1.20:4600/join');
    expect(typedAddress('https://192.168.1.20:4600')).toBe('https://192.168.1.20:4600/join');
  });
});
