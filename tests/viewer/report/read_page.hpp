// Why: a page is read as a machine reads it: as well-formed XML, its elements in order, its tables by their captions.
// Use: const Page page(html);  for (const Element& e : page.elements) ...  page.table("Every site")
#pragma once

#include <map>
#include <stdexcept>
#include <string>
#include <vector>

namespace brookmark::test {

struct Element {
  std::string name;
  std::map<std::string, std::string> attributes;
  std::string text;  // of it and of what is in it, but for what is hidden from those who are read to
  std::vector<std::string> inside;  // names of the elements that hold it
};

class Page {
 public:
  std::vector<Element> elements;  // in the order of their start

  // Throws std::runtime_error where the page is no well-formed XML (as far as this reader looks: tags match, attributes are
  // quoted and stand once, entities are the five of XML or numbers, no stray "<" or "&").
  explicit Page(const std::string& html) : html_(html) { read(); }

  std::vector<const Element*> all(const std::string& name) const {
    std::vector<const Element*> found;
    for (const Element& e : elements)
      if (e.name == name) found.push_back(&e);
    return found;
  }
  // Cells of the body of the table whose caption begins so; a cell of a missing table is missing.
  std::vector<std::vector<std::string>> table(const std::string& caption) const {
    std::vector<std::vector<std::string>> rows;
    bool right = false, body = false;
    for (const Element& e : elements) {
      if (e.name == "table") right = false;
      if (e.name == "caption") right = e.text.rfind(caption, 0) == 0;
      if (e.name == "thead") body = false;
      if (e.name == "tbody") body = true;
      if (!right || !body) continue;
      if (e.name == "tr") rows.emplace_back();
      if ((e.name == "td" || e.name == "th") && !rows.empty()) rows.back().push_back(e.text);
    }
    return rows;
  }

 private:
  [[noreturn]] void fail(const std::string& what) const {
    throw std::runtime_error(what + " near: " + html_.substr(at_ > 40 ? at_ - 40 : 0, 90));
  }
  std::string decoded(const std::string& text) const {
    static const std::map<std::string, std::string> kNamed{
        {"amp", "&"}, {"lt", "<"}, {"gt", ">"}, {"quot", "\""}, {"apos", "'"}, {"#39", "'"}, {"#160", " "}};
    std::string plain;
    for (std::size_t i = 0; i < text.size(); ++i) {
      if (text[i] == '<') fail("a stray <");
      if (text[i] != '&') {
        plain += text[i];
        continue;
      }
      const std::size_t end = text.find(';', i);
      const auto found =
          end == std::string::npos ? kNamed.end() : kNamed.find(text.substr(i + 1, end - i - 1));
      if (found == kNamed.end()) fail("an entity that is none");
      plain += found->second;
      i = end;
    }
    return plain;
  }
  bool at(const char* what) const {
    return html_.compare(at_, std::char_traits<char>::length(what), what) == 0;
  }

  void read() {
    std::vector<std::size_t> open;
    std::size_t hidden = 0;
    if (at("<!DOCTYPE html>")) at_ = 15;
    while (at_ < html_.size()) {
      if (html_[at_] != '<') {
        const std::size_t end = std::min(html_.find('<', at_), html_.size());
        const std::string text = decoded(html_.substr(at_, end - at_));
        if (open.empty() && text.find_first_not_of(" \n") != std::string::npos)
          fail("words outside the page");
        if (hidden == 0)
          for (const std::size_t e : open) elements[e].text += text;
        at_ = end;
        continue;
      }
      if (at("</")) {
        const std::size_t end = html_.find('>', at_);
        const std::string name = html_.substr(at_ + 2, end - at_ - 2);
        if (open.empty() || elements[open.back()].name != name) fail("</" + name + "> closes nothing");
        if (elements[open.back()].attributes.count("aria-hidden") > 0) --hidden;
        open.pop_back();
        at_ = end + 1;
        continue;
      }
      Element element = start_tag();
      for (const std::size_t e : open) element.inside.push_back(elements[e].name);
      const bool closed = html_[at_ - 2] == '/';
      elements.push_back(std::move(element));
      if (closed) continue;
      open.push_back(elements.size() - 1);
      if (elements.back().attributes.count("aria-hidden") > 0) ++hidden;
    }
    if (!open.empty()) fail("<" + elements[open.back()].name + "> is never closed");
  }

  // Leaves at_ behind the ">".
  Element start_tag() {
    Element element;
    ++at_;
    while (at_ < html_.size() && std::string(" />\n").find(html_[at_]) == std::string::npos)
      element.name += html_[at_++];
    if (element.name.empty()) fail("a tag without a name");
    while (at_ < html_.size() && html_[at_] != '>') {
      if (std::string(" /\n").find(html_[at_]) != std::string::npos) {
        ++at_;
        continue;
      }
      const std::size_t equals = html_.find('=', at_);
      const std::string name = html_.substr(at_, equals - at_);
      if (name.find_first_of("<>\"' \n") != std::string::npos) fail("an attribute without a value");
      if (html_[equals + 1] != '"') fail("an attribute without quotes");
      const std::size_t end = html_.find('"', equals + 2);
      if (!element.attributes.emplace(name, decoded(html_.substr(equals + 2, end - equals - 2))).second)
        fail("an attribute twice");
      at_ = end + 1;
    }
    ++at_;
    return element;
  }

  const std::string& html_;
  std::size_t at_ = 0;
};

}  // namespace brookmark::test
