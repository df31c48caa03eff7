/**
 * The site's own small authority, and the server certificates it vouches for: RSA of 2048 bits, SHA-256. The authority is
 * held (RFC 5280, name constraints) to this machine's names and to private networks, so that whoever steals its key can
 * not pass for a bank on a device that trusts it.
 */
import { generateKeyPairSync, randomBytes } from 'node:crypto';
import { BlockList, isIP } from 'node:net';
import type { pki } from 'node-forge';

const DAY_MS = 86_400_000;
const AUTHORITY_DAYS = 3_650;
/** Systems refuse a server certificate of more than 825 days (from memory). */
export const SERVER_DAYS = 397;
/** Clocks of tablets are now and then behind. */
const EARLIER_MS = DAY_MS;

/** A certificate and its private key, both PEM. */
export interface Issued {
  readonly cert: string;
  readonly key: string;
}

/** What an authority may vouch for: names (and what ends in them), and networks such as "10.0.0.0/8". */
export interface Scope {
  readonly names: readonly string[];
  readonly networks: readonly string[];
}

/** RFC 1918, RFC 4193, loopback, and what devices give themselves (RFC 3927, RFC 4291). */
const PRIVATE = [
  '10.0.0.0/8',
  '172.16.0.0/12',
  '192.168.0.0/16',
  '169.254.0.0/16',
  '127.0.0.0/8',
  'fc00::/7',
  'fe80::/10',
  '::1/128',
];

const within = (address: string, network: string): boolean => {
  const [base = '', bits = ''] = network.split('/');
  const family = isIP(base) === 6 ? 'ipv6' : 'ipv4';
  if (isIP(address) !== isIP(base)) return false;
  const list = new BlockList();
  list.addSubnet(base, Number(bits), family);
  return list.check(address, family);
};

/** A name or address the authority may vouch for. */
export const permits = ({ names, networks }: Scope, name: string): boolean =>
  isIP(name) === 0
    ? names.some((each) => name === each || name.endsWith(`.${each}`))
    : networks.some((network) => within(name, network));

/** What an authority for these names and addresses has to reach: an address of no private network brings its neighbours. */
export const scopeFor = (wanted: readonly string[]): Scope => {
  const names = wanted.filter((name) => isIP(name) === 0);
  const outside = wanted.filter((name) => isIP(name) !== 0 && !PRIVATE.some((network) => within(name, network)));
  const around = outside.map((address) =>
    isIP(address) === 4 ? `${address.split('.').slice(0, 2).join('.')}.0.0/16` : `${address}/128`,
  );
  return { names: [...new Set(['localhost', ...names])], networks: [...new Set([...PRIVATE, ...around])] };
};

const loadForge = async () => (await import('node-forge')).default;
type Forge = Awaited<ReturnType<typeof loadForge>>;

/** The bytes of an address, then of its mask, as a binary string. */
const networkBytes = (network: string): string => {
  const [base = '', bits = ''] = network.split('/');
  const bytes =
    isIP(base) === 4
      ? base.split('.').map(Number)
      : [...new Uint8Array(16).keys()].map((at) => {
          const [head = '', tail = ''] = base.split('::');
          const left = head.split(':').filter(Boolean);
          const right = base.includes('::') ? tail.split(':').filter(Boolean) : [];
          const groups = [...left, ...Array<string>(8 - left.length - right.length).fill('0'), ...right];
          const group = Number.parseInt(groups[at >> 1] ?? '0', 16);
          return at % 2 === 0 ? group >> 8 : group & 255;
        });
  const mask = bytes.map((_, at) => (255 << (8 - Math.max(0, Math.min(8, Number(bits) - at * 8)))) & 255);
  return String.fromCharCode(...bytes, ...mask);
};

/** RFC 5280, 4.2.1.10: permittedSubtrees [0], each a name [2] or an address with its mask [7]. */
const constraints = ({ asn1 }: Forge, { names, networks }: Scope): object => {
  const { Class, Type, create } = asn1;
  const base = (tag: number, value: string) =>
    create(Class.UNIVERSAL, Type.SEQUENCE, true, [create(Class.CONTEXT_SPECIFIC, tag, false, value)]);
  const permitted = [...names.map((name) => base(2, name)), ...networks.map((each) => base(7, networkBytes(each)))];
  const value = create(Class.UNIVERSAL, Type.SEQUENCE, true, [create(Class.CONTEXT_SPECIFIC, 0, true, permitted)]);
  return { id: '2.5.29.30', critical: true, value: asn1.toDer(value).getBytes() };
};

interface Sheet {
  readonly commonName: string;
  readonly days: number;
  readonly now: Date;
  readonly extensions: (made: pki.Certificate) => object[];
  /** Who vouches; itself if nobody. */
  readonly by?: { readonly cert: pki.Certificate; readonly key: pki.rsa.PrivateKey };
}

const sign = (forge: Forge, { commonName, days, now, extensions, by }: Sheet): Issued => {
  const pair = generateKeyPairSync('rsa', {
    modulusLength: 2048,
    publicKeyEncoding: { type: 'spki', format: 'pem' },
    privateKeyEncoding: { type: 'pkcs8', format: 'pem' },
  });
  const made = forge.pki.createCertificate();
  made.publicKey = forge.pki.publicKeyFromPem(pair.publicKey);
  // Positive, as a certificate's number has to be.
  made.serialNumber = `01${randomBytes(15).toString('hex')}`;
  made.validity.notBefore = new Date(now.getTime() - EARLIER_MS);
  made.validity.notAfter = new Date(now.getTime() + days * DAY_MS);
  const subject = [
    { name: 'commonName', value: commonName },
    { name: 'organizationName', value: 'Breathline' },
  ];
  made.setSubject(subject);
  made.setIssuer(by?.cert.subject.attributes ?? subject);
  made.setExtensions(extensions(made));
  made.sign(by?.key ?? forge.pki.privateKeyFromPem(pair.privateKey), forge.md.sha256.create());
  return { cert: forge.pki.certificateToPem(made), key: pair.privateKey };
};

/** A new authority that may vouch for `scope` and nothing else. `name` is how devices list it. */
export const newAuthority = async (name: string, scope: Scope, now: Date = new Date()): Promise<Issued> => {
  const forge = await loadForge();
  return sign(forge, {
    commonName: name,
    days: AUTHORITY_DAYS,
    now,
    extensions: () => [
      { name: 'basicConstraints', cA: true, pathLenConstraint: 0, critical: true },
      { name: 'keyUsage', keyCertSign: true, cRLSign: true, critical: true },
      { name: 'subjectKeyIdentifier' },
      constraints(forge, scope),
    ],
  });
};

/** A server certificate for these names and addresses. */
export const newServer = async (
  authority: Issued,
  names: readonly string[],
  now: Date = new Date(),
): Promise<Issued> => {
  const forge = await loadForge();
  const by = {
    cert: forge.pki.certificateFromPem(authority.cert),
    key: forge.pki.privateKeyFromPem(authority.key) as pki.rsa.PrivateKey,
  };
  return sign(forge, {
    // No name of a host: those stand among the alternative names, and a checker may take this one for another of them.
    commonName: 'Breathline server',
    days: SERVER_DAYS,
    now,
    by,
    extensions: () => [
      { name: 'basicConstraints', cA: false, critical: true },
      { name: 'keyUsage', digitalSignature: true, keyEncipherment: true, critical: true },
      { name: 'extKeyUsage', serverAuth: true },
      {
        name: 'subjectAltName',
        altNames: names.map((name) => (isIP(name) === 0 ? { type: 2, value: name } : { type: 7, ip: name })),
      },
      { name: 'subjectKeyIdentifier' },
      { name: 'authorityKeyIdentifier', keyIdentifier: by.cert.generateSubjectKeyIdentifier().getBytes() },
    ],
  });
};
