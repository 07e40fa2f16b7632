/** The little of a document's node that drawing needs. */
export interface SvgNode {
  setAttribute(name: string, value: string): void;
  getAttribute(name: string): string | null;
  removeAttribute(name: string): void;
  append(...children: (SvgNode | string)[]): void;
  prepend(...children: (SvgNode | string)[]): void;
  querySelectorAll(selector: string): Iterable<SvgNode>;
  readonly outerHTML: string;
}

/** The drawing library together with a page to draw on. */
export interface SvgPage {
  readonly plot: typeof import("@observablehq/plot");
  /** A document as browsers have it; the drawing library asks for one. */
  readonly document: { createElementNS(namespace: string, name: string): SvgNode };
}

/** Attributes of one element; numbers are pixels. */
export type SvgAttributes = Readonly<Record<string, string | number>>;

const NAMESPACE = "http://www.w3.org/2000/svg";
/** Attributes that hold places; a hundredth of a pixel is finer than any screen or printer. */
const PLACES = ["d", "transform", "x", "y", "x1", "x2", "y1", "y2", "cx", "cy"];
const LONG_DECIMAL = /-?\d+\.\d{3,}(?:e-?\d+)?/g;

/** Loads the drawing library, which nobody pays for who wants no chart. */
export async function svgPage(): Promise<SvgPage> {
  const [plot, { parseHTML }] = await Promise.all([
    import("@observablehq/plot"),
    import("linkedom"),
  ]);
  const { document } = parseHTML("<!doctype html><html><body></body></html>");
  return { plot, document };
}

/** An element with its attributes and children; a text child is escaped when it is written. */
export function svgElement(
  { document }: SvgPage,
  name: string,
  attributes: SvgAttributes,
  children: readonly (SvgNode | string)[] = [],
): SvgNode {
  const element = document.createElementNS(NAMESPACE, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  element.append(...children);
  return element;
}

/** What stands beside the drawing for readers who do not see it. */
export interface SvgWords {
  readonly title: string;
  readonly description: string;
  /** Begins the identifiers inside the picture, so that two pictures can stand on one page. */
  readonly prefix: string;
}

/** The drawing library numbers its clips through the whole process; here they start at 1. */
function renamedClips(svg: SvgNode, prefix: string): void {
  const names = new Map<string, string>();
  for (const clip of svg.querySelectorAll("clipPath")) {
    const name = `${prefix}-clip-${names.size + 1}`;
    names.set(`url(#${clip.getAttribute("id") ?? ""})`, `url(#${name})`);
    clip.setAttribute("id", name);
  }
  for (const element of svg.querySelectorAll("[clip-path]")) {
    const name = names.get(element.getAttribute("clip-path") ?? "");
    if (name !== undefined) element.setAttribute("clip-path", name);
  }
}

function roundedPlaces(svg: SvgNode): void {
  for (const element of svg.querySelectorAll("*")) {
    for (const name of PLACES) {
      const value = element.getAttribute(name);
      if (value === null) continue;
      const shorter = value.replaceAll(LONG_DECIMAL, (text) =>
        String(Number(Number(text).toFixed(2))),
      );
      element.setAttribute(name, shorter);
    }
  }
}

/**
 * The picture as the text of an SVG file: with title and text alternative, a white ground, places
 * rounded to a hundredth of a pixel, and the same bytes for the same drawing.
 */
export function finishedSvg(page: SvgPage, svg: SvgNode, words: SvgWords): string {
  const { title, description, prefix } = words;
  renamedClips(svg, prefix);
  roundedPlaces(svg);
  svg.setAttribute("xmlns", NAMESPACE);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-labelledby", `${prefix}-title ${prefix}-description`);
  svg.prepend(
    svgElement(page, "title", { id: `${prefix}-title` }, [title]),
    svgElement(page, "desc", { id: `${prefix}-description` }, [description]),
    svgElement(page, "rect", { width: "100%", height: "100%", fill: "#ffffff" }),
  );
  return `${svg.outerHTML}\n`;
}
