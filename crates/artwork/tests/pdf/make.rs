//! Writes small PDFs, one object after the other.

/// A document of pages of 200 x 100 points.
#[derive(Default)]
pub(crate) struct Pdf {
    objects: Vec<Vec<u8>>,
    pages: Vec<(String, String, String)>,
}

impl Pdf {
    /// Adds an object; returns its reference.
    pub(crate) fn object(&mut self, body: &str) -> String {
        self.objects.push(body.as_bytes().to_vec());
        // The catalog and the page tree come first.
        format!("{} 0 R", self.objects.len() + 2)
    }

    /// Adds a stream with the entries of its dictionary.
    pub(crate) fn stream(&mut self, entries: &str, data: &[u8]) -> String {
        let mut body = format!("<< {entries} /Length {} >>\nstream\n", data.len()).into_bytes();
        body.extend(data);
        body.extend(b"\nendstream");
        self.objects.push(body);
        format!("{} 0 R", self.objects.len() + 2)
    }

    /// Adds a page with its resources and content.
    pub(crate) fn page(&mut self, resources: &str, content: &str) {
        self.page_with("/MediaBox [0 0 200 100]", resources, content);
    }

    /// Adds a page with further entries.
    pub(crate) fn page_with(&mut self, entries: &str, resources: &str, content: &str) {
        let content = self.stream("", content.as_bytes());
        self.pages
            .push((entries.to_owned(), resources.to_owned(), content));
    }

    /// Adds a page with these entries whose content is this stream.
    pub(crate) fn page_of_size(&mut self, entries: &str, content: &str) {
        let page = (entries.to_owned(), String::new(), content.to_owned());
        self.pages.push(page);
    }

    /// Adds a page whose content is this stream.
    pub(crate) fn page_of(&mut self, resources: &str, content: &str) {
        let entries = "/MediaBox [0 0 200 100]".to_owned();
        self.pages
            .push((entries, resources.to_owned(), content.to_owned()));
    }

    /// The bytes, with further entries of the catalog.
    pub(crate) fn finish_with(mut self, catalog: &str) -> Vec<u8> {
        let mut kids = String::new();
        for (entries, resources, content) in std::mem::take(&mut self.pages) {
            let page = format!(
                "<< /Type /Page /Parent 2 0 R {entries} /Resources << {resources} >> /Contents {content} >>"
            );
            kids += &self.object(&page);
            kids.push(' ');
        }
        let count = kids.matches('R').count();
        let mut all = vec![
            format!("<< /Type /Catalog /Pages 2 0 R {catalog} >>").into_bytes(),
            format!("<< /Type /Pages /Kids [{kids}] /Count {count} >>").into_bytes(),
        ];
        all.extend(self.objects);
        let mut out = b"%PDF-1.7\n".to_vec();
        let mut places = Vec::new();
        for (at, body) in all.iter().enumerate() {
            places.push(out.len());
            out.extend(format!("{} 0 obj\n", at + 1).bytes());
            out.extend(body);
            out.extend(b"\nendobj\n");
        }
        let start = out.len();
        out.extend(format!("xref\n0 {}\n0000000000 65535 f \n", all.len() + 1).bytes());
        for place in places {
            out.extend(format!("{place:010} 00000 n \n").bytes());
        }
        out.extend(
            format!(
                "trailer << /Size {} /Root 1 0 R >>\nstartxref\n{start}\n%%EOF\n",
                all.len() + 1
            )
            .bytes(),
        );
        out
    }

    /// The bytes.
    pub(crate) fn finish(self) -> Vec<u8> {
        self.finish_with("")
    }
}

/// A Separation space whose alternate is CMYK.
pub(crate) fn separation(name: &str, cmyk: [f64; 4]) -> String {
    let [c, m, y, k] = cmyk;
    format!(
        "[/Separation /{name} /DeviceCMYK << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [{c} {m} {y} {k}] >>]"
    )
}
