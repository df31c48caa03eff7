/** Where other devices reach this server: what it listens on, and the addresses this machine has on its networks. */
import { isIP } from 'node:net';
import { networkInterfaces, type NetworkInterfaceInfo } from 'node:os';

/** What the server was told to listen on, and how. */
export interface Listening {
  readonly host: string;
  readonly port: number;
  readonly secure: boolean;
  /** Names and addresses the certificate was made for. */
  readonly names?: readonly string[];
}

type Interfaces = NodeJS.Dict<NetworkInterfaceInfo[]>;

/** Networks between programs of one machine, which no tablet is on. Named so by the systems that make them. */
const WITHIN_MACHINE = /^(docker|br-|veth|virbr|vboxnet|vmnet|vethernet|tun|tap|utun|wg)/i;
/** What a device gives itself when nobody gives it an address (RFC 3927): seldom the same a minute later. */
const SELF_GIVEN = /^169\.254\./;

/** An address only this machine can open: "127.0.0.1", "::1" or "localhost". */
export const isLoopback = (host: string): boolean =>
  host === 'localhost' || host === '::1' || /^127\.\d+\.\d+\.\d+$/.test(host);

const listensEverywhere = (host: string): boolean => host === '0.0.0.0' || host === '::';

/** This machine's addresses, version 4, those a tablet is likeliest to share a network with first. */
export const lanAddresses = (interfaces: Interfaces = networkInterfaces()): string[] => {
  const found = Object.entries(interfaces).flatMap(([name, all]) =>
    (all ?? [])
      .filter(({ family, internal }) => family === 'IPv4' && !internal)
      .map(({ address }) => ({
        address,
        last: (WITHIN_MACHINE.test(name) ? 1 : 0) + (SELF_GIVEN.test(address) ? 2 : 0),
      })),
  );
  return found.sort((a, b) => a.last - b.last).map(({ address }) => address);
};

/** "http://192.168.1.20:4600"; the port is left out where it goes without saying. */
export const originOf = (name: string, port: number, secure: boolean): string =>
  new URL(`${secure ? 'https' : 'http'}://${name.includes(':') ? `[${name}]` : name}:${port}`).origin;

/** What another device can open, the likeliest first; none when the server listens on this machine alone. */
export const reachableOrigins = (
  { host, port, secure, names = [] }: Listening,
  interfaces: Interfaces = networkInterfaces(),
): string[] => {
  if (isLoopback(host)) return [];
  const addresses = listensEverywhere(host) ? lanAddresses(interfaces) : [host];
  // A device would warn of an address the certificate does not hold; of its names, only some can be looked up everywhere.
  const held = names.length === 0 ? addresses : addresses.filter((address) => names.includes(address));
  const known = names.filter((name) => isIP(name) === 0 && name.includes('.') && !/[*]|\.local$/.test(name));
  return [...new Set([...known, ...(held.length > 0 || known.length > 0 ? held : addresses)])].map((name) =>
    originOf(name, port, secure),
  );
};

/** What somebody at this machine opens, best first: with a network address the codes shown there work elsewhere too. */
export const openOrigins = (listening: Listening, interfaces: Interfaces = networkInterfaces()): string[] => {
  const { host, port, secure } = listening;
  const own = isLoopback(host) ? host : listensEverywhere(host) ? '127.0.0.1' : null;
  return [
    ...reachableOrigins(listening, interfaces),
    ...(own === null ? [] : [originOf(own === 'localhost' ? '127.0.0.1' : own, port, secure)]),
  ];
};
