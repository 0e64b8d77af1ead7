// The public names as text. In: the declarations in dist; out: every exported name with its signature, without comments.
// Terms: a name that rootberth/node repeats from rootberth stands once. A change of this text is a change of the API.
import { relative } from 'node:path';
import ts from 'typescript';

const PRINTER = ts.createPrinter({ removeComments: true });

/** Declarations of one exported symbol, in one text. */
function signature(checker, symbol) {
  const target = symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol;
  return (target.declarations ?? [])
    .map((declaration) => {
      const node = ts.isVariableDeclaration(declaration) ? declaration.parent.parent : declaration;
      return PRINTER.printNode(ts.EmitHint.Unspecified, node, node.getSourceFile())
        .replace(/^(export )?(declare )?/, '')
        .replace(/^export /, '');
    })
    .join('\n');
}

/**
 * The report of the entries of a package.
 *
 * @param {string} root the package's folder, with a separator at its end
 * @param {Readonly<Record<string, string>>} entries name of an entry -> its declarations, relative to the folder
 */
export function apiReport(root, entries) {
  const files = Object.values(entries).map((file) => `${root}${file}`);
  const options = {
    module: ts.ModuleKind.NodeNext,
    moduleResolution: ts.ModuleResolutionKind.NodeNext,
    target: ts.ScriptTarget.ES2023,
    skipLibCheck: true,
    types: [],
  };
  const program = ts.createProgram(files, options);
  const checker = program.getTypeChecker();
  const seen = new Set();
  const parts = Object.entries(entries).map(([entry, file]) => {
    const source = program.getSourceFile(`${root}${file}`);
    const module = source && checker.getSymbolAtLocation(source);
    if (module === undefined) throw new Error(`${relative(root, file)} does not exist: npm run build`);
    const names = checker
      .getExportsOfModule(module)
      .map((symbol) => ({ name: symbol.name, text: signature(checker, symbol) }))
      .filter(({ name, text }) => !seen.has(`${name} ${text}`))
      .sort((a, b) => (a.name < b.name ? -1 : 1));
    for (const { name, text } of names) seen.add(`${name} ${text}`);
    return `## ${entry}\n\n${names.map(({ text }) => `\`\`\`ts\n${text}\n\`\`\``).join('\n\n')}\n`;
  });
  return `# API report

Every public name with its signature, made by \`npm run api-report\` from the declarations. A change here is a change of the
API and belongs in the changelog (docs/policy.md). What the names mean: \`npm run docs:api\`, or the declarations in an editor.

${parts.join('\n')}`;
}
