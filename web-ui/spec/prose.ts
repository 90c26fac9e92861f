// Finds words for people that stand in a view instead of in the texts.
import ts from 'typescript';

/** Attributes that are read, shown or spoken. The name of a shape is one of a closed list, and that of an element is for forms. */
const SPOKEN = /^(aria-(label|valuetext|description|roledescription)|title|alt|placeholder|label|name|hint|empty|say|summary|go|keep|words|unit)$/;
const LETTERS = /\p{L}{2,}/u;

/** Each source is read by several rules and parsed once. */
const trees = new Map<string, ts.SourceFile>();
function parsed(source: string): ts.SourceFile {
  const tree = trees.get(source) ?? ts.createSourceFile('source.tsx', source, ts.ScriptTarget.ESNext, true, ts.ScriptKind.TSX);
  trees.set(source, tree);
  return tree;
}

/** The words in the texts that an expression may come to: conditions and calls are looked through, not into. */
function shown(node: ts.Node): string[] {
  if (ts.isStringLiteral(node) || ts.isNoSubstitutionTemplateLiteral(node)) return [node.text];
  if (ts.isTemplateExpression(node)) return [node.head.text, ...node.templateSpans.flatMap((span) => [...shown(span.expression), span.literal.text])];
  if (ts.isConditionalExpression(node)) return [...shown(node.whenTrue), ...shown(node.whenFalse)];
  if (ts.isParenthesizedExpression(node)) return shown(node.expression);
  if (ts.isBinaryExpression(node)) {
    const sort = node.operatorToken.kind;
    if (sort === ts.SyntaxKind.PlusToken || sort === ts.SyntaxKind.BarBarToken || sort === ts.SyntaxKind.QuestionQuestionToken) return [...shown(node.left), ...shown(node.right)];
    if (sort === ts.SyntaxKind.AmpersandAmpersandToken) return shown(node.right);
  }
  return [];
}

/** A unit is the same in every language. */
const UNITS = /^(mm|kPa|°C|s)$/;

/** Texts that are read once, when the source is loaded, and would stay in that language. */
export function textsKeptIn(source: string): string[] {
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isFunctionLike(node) || ts.isImportDeclaration(node) || ts.isTypeNode(node)) return;
    if (ts.isPropertyAccessExpression(node) && ts.isIdentifier(node.expression) && node.expression.text === 'texts') found.push(node.getText());
    ts.forEachChild(node, visit);
  };
  visit(parsed(source));
  return found;
}

/** Sentences and titles in any string of the source, wherever it stands. */
export function sentencesIn(source: string): string[] {
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    const part = ts.isStringLiteral(node) || ts.isNoSubstitutionTemplateLiteral(node) || ts.isTemplateHead(node) || ts.isTemplateMiddleOrTemplateTail(node);
    if (part && /^\s*\p{Lu}\p{Ll}+ \p{L}|\p{L}+ \p{L}+[.!?](\s|$)/u.test(node.text)) found.push(node.text.trim());
    ts.forEachChild(node, visit);
  };
  visit(parsed(source));
  return found;
}

/** What a person would see or hear of the source that is no text of the page's. */
export function proseIn(source: string): string[] {
  const found: string[] = [];
  const keep = (texts: string[]): void => {
    found.push(...texts.map((text) => text.trim()).filter((text) => LETTERS.test(text) && !UNITS.test(text)));
  };
  const visit = (node: ts.Node): void => {
    if (ts.isJsxText(node)) keep([node.text]);
    else if (ts.isJsxExpression(node) && node.expression && !ts.isJsxAttribute(node.parent)) keep(shown(node.expression));
    else if (ts.isJsxAttribute(node) && SPOKEN.test(node.name.getText()) && !(node.name.getText() === 'name' && /^(Shape|[a-z]+)$/.test(node.parent.parent.tagName.getText()))) {
      const { initializer } = node;
      if (initializer && ts.isStringLiteral(initializer)) keep([initializer.text]);
      else if (initializer && ts.isJsxExpression(initializer) && initializer.expression) keep(shown(initializer.expression));
    }
    ts.forEachChild(node, visit);
  };
  visit(parsed(source));
  return found;
}
