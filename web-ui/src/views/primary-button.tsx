// The button of the one action of the screen: a key does it too, and the button shows that.
import type { ButtonHTMLAttributes, ComponentChildren } from 'preact';
import { useLayoutEffect, useRef } from 'preact/hooks';
import { keysRest, underKey } from '../state/keys';
import { declarePrimary } from '../state/primary';
import { KeyMark } from './key-mark';

type Props = Omit<ButtonHTMLAttributes<HTMLButtonElement>, 'ref' | 'children' | 'disabled'> & {
  /** Which action, of which step: another one has to stand a moment before a key may run it. */
  of: string;
  /** False where the same button does something that no key may do. */
  keyed?: boolean;
  /** How long it must have stood, if longer than a moment. */
  settle_ms?: number | undefined;
  disabled?: boolean;
  children: ComponentChildren;
};

export function PrimaryButton({ of, keyed = true, settle_ms, disabled = false, children, ...button }: Props) {
  const at = useRef<HTMLButtonElement>(null);
  useLayoutEffect(() => (keyed && !disabled && at.current ? declarePrimary(of, at.current, settle_ms) : undefined), [of, keyed, disabled, settle_ms]);
  // Read also while nothing is drawn yet, or the first mark would not be told.
  const run = underKey.value?.button;
  const marked = run !== undefined && run === at.current;
  return (
    <button type="button" {...button} ref={at} disabled={disabled} {...(marked ? { 'aria-keyshortcuts': 'PageDown Enter' } : {})}>
      {children}
      {marked && <KeyMark resting={keysRest.value} />}
    </button>
  );
}
