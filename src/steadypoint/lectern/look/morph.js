// Bring what stands on the page to new HTML node by node, so that focus, scrolling and what is
// being typed stay where they are.

export function morph(element, html) {
  const template = document.createElement("template");
  template.innerHTML = html;
  children(element, template.content);
}

function children(old, fresh) {
  let here = old.firstChild;
  let next = fresh.firstChild;
  while (next) {
    const after = next.nextSibling;
    if (!here) {
      old.append(next);
    } else if (alike(here, next)) {
      const following = here.nextSibling;
      node(here, next);
      here = following;
    } else {
      old.insertBefore(next, here);
      const following = here.nextSibling;
      here.remove();
      here = following;
    }
    next = after;
  }
  while (here) {
    const following = here.nextSibling;
    here.remove();
    here = following;
  }
}

function alike(one, other) {
  return (
    one.nodeType === other.nodeType &&
    one.nodeName === other.nodeName &&
    (one.nodeType !== Node.ELEMENT_NODE || one.id === other.id)
  );
}

function node(old, fresh) {
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.data !== fresh.data) old.data = fresh.data;
    return;
  }
  if (old.isEqualNode(fresh)) return;
  const typing = old === document.activeElement && /^(INPUT|TEXTAREA|SELECT)$/.test(old.nodeName);
  attributes(old, fresh, typing);
  if (old.nodeName === "TEXTAREA") {
    if (!typing) old.value = fresh.defaultValue;
    return;
  }
  children(old, fresh);
  if (old.nodeName === "INPUT" && !typing) {
    old.checked = fresh.hasAttribute("checked");
    if (old.value !== fresh.value) old.value = fresh.getAttribute("value") ?? "";
  }
}

function attributes(old, fresh, typing) {
  for (const { name, value } of fresh.attributes) {
    if (typing && name === "value") continue;
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  for (const { name } of [...old.attributes]) {
    const kept = name === "open" && old.nodeName === "DETAILS";
    if (!fresh.hasAttribute(name) && !kept) old.removeAttribute(name);
  }
}
