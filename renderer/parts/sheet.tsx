/** A desk screen: title, a line under it, what can be done at its top right, and the content. */
import { type ReactNode, useEffect, useId, useRef } from 'react';

export function Sheet({
  title,
  under,
  actions,
  children,
}: {
  title: string;
  under?: ReactNode;
  actions?: ReactNode;
  children: ReactNode;
}) {
  const id = useId();
  const main = useRef<HTMLElement>(null);
  // A new screen is announced and keyboard users start at its top.
  useEffect(() => main.current?.focus({ preventScroll: true }), []);
  return (
    <main className="sheet" id="content" ref={main} tabIndex={-1} aria-labelledby={id}>
      <div className="sheet-head">
        <div>
          <h1 id={id}>{title}</h1>
          {under === undefined ? null : <div className="under">{under}</div>}
        </div>
        {actions === undefined ? null : <div className="row">{actions}</div>}
      </div>
      {children}
    </main>
  );
}
