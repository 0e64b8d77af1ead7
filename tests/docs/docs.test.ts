// Documentation that runs: the README's library example is executed, relative links are followed.
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { describe, expect, it, vi } from 'vitest';

const root = resolve(import.meta.dirname, '../..');
const pages = [
  'README.md',
  'DEVELOPERS.md',
  'CHANGELOG.md',
  ...readdirSync(join(root, 'docs')).map((f) => `docs/${f}`),
];

describe('documentation', () => {
  it('relative links lead somewhere', () => {
    const broken: string[] = [];
    for (const page of pages.filter((p) => p.endsWith('.md'))) {
      for (const [, link] of readFileSync(join(root, page), 'utf8').matchAll(/\]\(([^)#\s]+)[^)]*\)/g)) {
        if (link === undefined || /^[a-z]+:/.test(link)) continue;
        if (!existsSync(join(root, dirname(page), link))) broken.push(`${page}: ${link}`);
      }
    }
    expect(broken).toEqual([]);
  });

  it('links into a page lead to a heading', () => {
    const headings = (page: string): string[] =>
      [...readFileSync(join(root, page), 'utf8').matchAll(/^#+ (.+)$/gm)].map(([, text = '']) =>
        text
          .toLowerCase()
          .replace(/[^\p{L}\p{N} _-]/gu, '')
          .replaceAll(' ', '-'),
      );
    const broken: string[] = [];
    for (const page of pages.filter((p) => p.endsWith('.md'))) {
      for (const [, file = '', anchor = ''] of readFileSync(join(root, page), 'utf8').matchAll(
        /\]\(([^)#\s:]*)#([^)\s]+)\)/g,
      )) {
        const target = file === '' ? page : join(dirname(page), file);
        if (!headings(target).includes(anchor)) broken.push(`${page}: ${file}#${anchor}`);
      }
    }
    expect(broken).toEqual([]);
  });

  it('the library example of the README prints what its comments say', async () => {
    const example = /```ts\n([\s\S]*?)```/.exec(readFileSync(join(root, 'README.md'), 'utf8'))?.[1] ?? '';
    const promised = [...example.matchAll(/console\.log\(.*\); \/\/ '?([^'\n]*)'?/g)].map((m) => m[1]);
    expect(promised.length).toBeGreaterThan(1);
    const dir = mkdtempSync(join(root, 'tests', 'tmp-readme-'));
    const said: string[] = [];
    const log = vi.spyOn(console, 'log').mockImplementation((...words) => void said.push(words.join(' ')));
    try {
      writeFileSync(join(dir, 'example.ts'), example.replace("'rootberth'", "'../../src/index.js'"));
      await import(join(dir, 'example.ts'));
    } finally {
      log.mockRestore();
      rmSync(dir, { recursive: true });
    }
    expect(said).toEqual(promised);
  });

  it('the version is the same everywhere', async () => {
    const { VERSION } = await import('../../src/model/version.js');
    expect(VERSION).toBe(JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')).version);
  });
});
