// A database session. In: a URL, or what pg's Client takes; out: a session, closed after use. Errors of the
// server and the network become an InputError with a cure. Terms: session = one connection, one transaction; SQLSTATE =
// the five-letter code of a server's error (PostgreSQL 15, appendix A). pg is an optional peer, loaded with the first session.

import { InputError } from '../model/index.js';
import { peer } from '../read/index.js';

/**
 * Where the database is: a URL `postgres://user@host:5432/name`, or its parts. What is left out comes from the variables
 * PGHOST, PGPORT, PGDATABASE, PGUSER, PGPASSWORD and from ~/.pgpass, which keep a password out of the list of processes.
 */
export type Database = string | DatabaseParts;

export interface DatabaseParts {
  readonly host?: string; // a folder that begins with / is that of a local socket
  readonly port?: number;
  readonly database?: string;
  readonly user?: string;
  readonly password?: string;
  /** true, or the options of Node's tls.connect: `{ ca, rejectUnauthorized }`. */
  readonly ssl?: boolean | Readonly<Record<string, unknown>>;
}

/** Values come as the server's text. */
export type Row = readonly (string | null)[];

export interface Session {
  rows(sql: string, values?: readonly unknown[]): Promise<readonly Row[]>;
}

/** Servers that do not answer are given up after this time. */
const CONNECT_MS = 15_000;

/**
 * Opens a transaction, hands it to `use` and ends it: committed when `use` is done, rolled back when it throws.
 *
 * @param about the table or result it is for, to be named in errors
 * @throws InputError `database-url` (usage), `database-unreachable`, `database-login`, `database-missing`, `table-permission`,
 *   `database-failed`, `peer-missing`
 */
export async function withSession<R>(
  database: Database | undefined,
  begin: 'READ ONLY' | 'READ WRITE',
  about: string,
  use: (session: Session) => Promise<R>,
): Promise<R> {
  const { default: pg } = await peer('pg', 'PostGIS', about, () => import('pg'));
  const client = new pg.Client({
    application_name: 'rootberth',
    connectionTimeoutMillis: CONNECT_MS,
    ...partsOf(database),
  } as ConstructorParameters<typeof pg.Client>[0]);
  client.on('error', () => undefined); // a connection that breaks: the running query gets the error
  const place = `${client.host}:${client.port}`;
  const where = { about, place, user: client.user ?? '', name: client.database ?? '' };
  try {
    await client.connect();
    // One snapshot for all that is read; what is written appears at once.
    const level = begin === 'READ ONLY' ? 'REPEATABLE READ' : 'READ COMMITTED';
    await client.query(`BEGIN ISOLATION LEVEL ${level} ${begin}`);
    const session: Session = {
      rows: async (sql, values = []) => {
        const asked = { text: sql, values: [...values], rowMode: 'array' as const, types: AS_TEXT };
        return (await client.query<(string | null)[]>(asked)).rows;
      },
    };
    const result = await use(session);
    await client.query('COMMIT');
    return result;
  } catch (error) {
    throw worded(error, where);
  } finally {
    await client.end().catch(() => undefined); // a transaction that is open is rolled back
  }
}

const AS_TEXT = { getTypeParser: () => (value: unknown) => value as string };

function partsOf(database: Database | undefined): object {
  if (typeof database !== 'string') return database ?? {};
  if (/^postgres(ql)?:\/\//i.test(database) && URL.canParse(database)) return { connectionString: database };
  // The text is not repeated: it may hold a password.
  throw new InputError('database-url', 'the database is not given as a URL', {
    cure: 'write it as postgres://user@host:5432/name; percent-encode what is not a letter or a digit in name and password',
    usage: true,
  });
}

interface Where {
  readonly about: string;
  readonly place: string;
  readonly user: string;
  readonly name: string;
}

type Words = readonly [code: string, message: (where: Where, said: string) => string, cure: string];

const UNREACHABLE: Words = [
  'database-unreachable',
  ({ place }, said) => `no database answers at ${place} (${said})`,
  'check host and port, and check that the server runs and accepts this machine',
];
const LOGIN: Words = [
  'database-login',
  ({ user, place }, said) => `${place} refuses the login of ${user || 'this user'}: ${said}`,
  'check the user’s name and password: in the URL, in PGUSER and PGPASSWORD, or in ~/.pgpass',
];
const INTERRUPTED: Words = [
  'database-interrupted',
  ({ place }, said) => `${place} ended the session: ${said}`,
  'run it again; nothing was changed',
];

/** SQLSTATE, or its class (two letters), or the system's code -> code, words and cure. */
const WORDS: Readonly<Record<string, Words>> = {
  '08': UNREACHABLE,
  '28': LOGIN,
  '57': INTERRUPTED,
  '3D000': [
    'database-missing',
    ({ name, place }) => `${place} holds no database called ${JSON.stringify(name)}`,
    'check the name at the end of the URL, or PGDATABASE; psql -l lists them',
  ],
  '42501': [
    'table-permission',
    ({ about, user }, said) => `${about}: ${user || 'this user'} has no right to it: ${said}`,
    'have its owner GRANT USAGE on the schema and SELECT on the table (to write: CREATE on the schema)',
  ],
  '25006': [
    'table-permission',
    ({ about }, said) => `${about} can’t be written: ${said}`,
    'write to the primary server, not to a copy that is read-only',
  ],
  '2BP01': [
    'table-in-use',
    ({ about }, said) => `${about} can’t be replaced: ${said}`,
    'drop whatever depends on the old table (such as a view) and create it again afterwards, or write under another name',
  ],
};

function worded(error: unknown, where: Where): unknown {
  if (!(error instanceof Error) || error instanceof InputError) return error;
  const code = 'code' in error && typeof error.code === 'string' ? error.code : '';
  const isServer = /^[0-9A-Z]{5}$/.test(code) && 'severity' in error;
  const system = 'syscall' in error || error instanceof AggregateError || /timeout|terminated/i.test(error.message);
  const isLogin = !isServer && /password must be|SASL|SCRAM/i.test(error.message);
  if (!isServer && !isLogin && !system) return error; // a defect of ours
  const known = isLogin ? LOGIN : (WORDS[code] ?? WORDS[code.slice(0, 2)]);
  const [own, message, cure] = known ?? (isServer ? FAILED : UNREACHABLE);
  const detail = 'detail' in error && typeof error.detail === 'string' ? ` (${error.detail})` : '';
  const said = isServer ? `${error.message}${detail}` : code || error.message;
  return new InputError(own, message(where, said), { layer: where.about, cure });
}

const FAILED: Words = [
  'database-failed',
  ({ about }, said) => `${about}: the database says: ${said}`,
  'fix the problem that it names; nothing was changed',
];
